// Prose of the procedure: the little of CommonMark that instructions need. Each line of the writer is a line here, because
// it is one thing to do. What is beyond this reader (markup, entities, code) is shown as the plain text that the
// checklist carries beside the Markdown.

import { h } from "./dom.js";

const BEYOND = /[`<&\\]|^\s{0,3}(?:#{1,6}\s|>|={2,}\s*$|-{2,}\s*$|\|)|^ {4}/m;
const INLINE =
  /\[([^\]\n]+)\]\((\S+?)\)|\[([^\]\n]+)\]|\*\*(\S(?:.*?\S)?)\*\*|__(\S(?:.*?\S)?)__|\*(\S(?:.*?\S)?)\*|\b_(\S(?:.*?\S)?)_\b/;

const inline = (text, mention) => {
  const at = INLINE.exec(text);
  if (!at) return [text];
  const [whole, label, address, name, strong, heavy, light, slant] = at;
  const inner = strong ?? heavy;
  let piece;
  if (label) piece = `${label} (${address})`;
  else if (name) piece = mention(name);
  else piece = h(inner ? "strong" : "em", {}, inline(inner ?? light ?? slant, mention));
  return [text.slice(0, at.index), piece, ...inline(text.slice(at.index + whole.length), mention)];
};

// `special` may give what stands for a name in square brackets; else it is said in words. `each` may put something before a line.
export const prose = ({ text, markdown, mentions }, special, each = () => null) => {
  const mention = (name) => special?.(name) ?? mentions.find((one) => one.text === name)?.words ?? name;
  const say = h("div.say");
  let n = 0;
  const line = (...content) => h("p", each(n++, content), h("span", content));
  if (BEYOND.test(markdown)) return (say.append(line(text)), say);
  let list = null;
  for (const text of markdown.split("\n")) {
    if (!text.trim()) {
      list = null;
      continue;
    }
    const item = /^\s{0,3}(?:([-*+])|[0-9]{1,9}[.)])\s+(.*)$/.exec(text);
    if (!item) {
      list = null;
      say.append(line(inline(text.trim(), mention)));
      continue;
    }
    const sort = item[1] ? "ul" : "ol";
    if (list?.localName !== sort) say.append((list = h(sort)));
    const content = inline(item[2], mention);
    list.append(h("li", each(n++, content), h("span", content)));
  }
  return say;
};
