// Prose of the procedure: the little of CommonMark that instructions need. Each line of the writer is a line here, because
// it is one thing to do. What is beyond this reader (markup, entities, code) is shown as the plain text that the
// checklist carries beside the Markdown.

import { h } from "./dom.js";

const BEYOND = /[`<&\\]|^\s{0,3}(?:#{1,6}\s|>|={2,}\s*$|-{2,}\s*$|\|)|^ {4}/m;
const INLINE = /\[([^\]\n]+)\]\((\S+?)\)|\[([^\]\n]+)\]|\*\*(\S(?:.*?\S)?)\*\*|__(\S(?:.*?\S)?)__|\*(\S(?:.*?\S)?)\*|\b_(\S(?:.*?\S)?)_\b/;

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

// `special` may give what stands for a name in square brackets; else it is said in words.
export const prose = ({ text, markdown, mentions }, special) => {
  const mention = (name) => special?.(name) ?? mentions.find((one) => one.text === name)?.words ?? name;
  const say = h("div.say");
  if (BEYOND.test(markdown)) return (say.append(h("p", text)), say);
  let list = null;
  for (const line of markdown.split("\n")) {
    if (!line.trim()) { list = null; continue; }
    const item = /^\s{0,3}(?:([-*+])|[0-9]{1,9}[.)])\s+(.*)$/.exec(line);
    if (!item) {
      list = null;
      say.append(h("p", inline(line.trim(), mention)));
      continue;
    }
    const sort = item[1] ? "ul" : "ol";
    if (list?.localName !== sort) say.append((list = h(sort)));
    list.append(h("li", h("span", inline(item[2], mention))));
  }
  return say;
};
