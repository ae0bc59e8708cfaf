"use strict";
// Filters the lines of the page: by verdict, and by words that stand in a row. Without it, all lines are there.
(() => {
  const form = document.getElementById("filter");
  if (!form) return;
  const words = document.getElementById("filter-words");
  const boxes = [...form.querySelectorAll("input[type=checkbox]")];
  const told = document.getElementById("filter-told");
  const rows = [...document.querySelectorAll("tbody[data-row]")].map((body) => ({
    body,
    text: body.textContent.toLowerCase(),
    lines: [...body.querySelectorAll("tr[data-verdict]")],
  }));
  const groups = [...document.querySelectorAll("section[data-group]")];
  const filter = () => {
    const wanted = words.value.toLowerCase().split(/\s+/).filter(Boolean);
    const verdicts = new Set(boxes.filter((box) => box.checked).map((box) => box.value));
    let shown = 0;
    for (const { body, text, lines } of rows) {
      const here = wanted.every((word) => text.includes(word));
      let any = false;
      for (const line of lines) {
        line.hidden = !(here && verdicts.has(line.dataset.verdict));
        any ||= !line.hidden;
        shown += line.hidden ? 0 : 1;
      }
      body.hidden = !any;
    }
    for (const group of groups) {
      group.hidden = !group.querySelector("tbody[data-row]:not([hidden])");
    }
    told.textContent = told.dataset.words.replace("{n}", String(shown));
  };
  form.addEventListener("input", filter);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.hidden = false;
  filter();
})();
