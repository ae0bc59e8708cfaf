// Prose of the procedure: the little of CommonMark that instructions need. What is beyond this reader (markup, entities,
// code) is shown as the plain text that the checklist carries beside the Markdown.

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

const ENTRY = /^\s{0,3}(?:([-*+])|([0-9]{1,9})[.)])\s+(.*)$/;

// Paragraphs and entries of lists, each with the lines that go on from its first one.
const blocksOf = (markdown) => {
  const blocks = [];
  let open = null;
  for (const line of markdown.split("\n")) {
    const entry = ENTRY.exec(line);
    // Only a list that begins with 1 may follow a paragraph without a blank line (CommonMark 0.31, 5.3).
    const begins = entry && !(open && !open.sort && entry[2] && Number(entry[2]) !== 1);
    if (!line.trim()) open = null;
    else if (begins) blocks.push((open = { sort: entry[1] ? "ul" : "ol", after: open, words: entry[3] }));
    else if (open) open.words += ` ${line.trim()}`;
    else blocks.push((open = { words: line.trim() }));
  }
  return blocks;
};

// `special` may give what stands for a name in square brackets; else it is said in words. `each` may put something before what is
// to be done: the first paragraph, and each entry of a list. `letter` is that of the action.
export const prose = ({ text, markdown, mentions }, special, each = () => null, letter = "") => {
  const mention = (name) => special?.(name) ?? mentions.find((one) => one.text === name)?.words ?? name;
  const say = h("div.say");
  let n = 0;
  const line = (tag, mark, ...content) =>
    h(tag, each(n++, [mark && `${mark} `, content]), mark && h("b.letter", mark), h("span", content));
  if (BEYOND.test(markdown)) return (say.append(line("p", letter, text)), say);
  for (const [at, { sort, after, words }] of blocksOf(markdown).entries()) {
    const content = inline(words, mention);
    if (!sort) {
      say.append(at ? h("p.on", content) : line("p", letter, content));
      continue;
    }
    if (after?.sort !== sort) say.append(h(sort));
    say.lastElementChild.append(line("li", "", content));
  }
  return say;
};
