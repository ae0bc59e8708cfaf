// The record on paper: what it is of stands at the head of each page, and which page of how many at its foot. Browsers without
// boxes in the margins print these pages with their own head, and the record's facts on the first.

import { sentence, listed } from "./dom.js";
import WORDS from "./words.js";

// A text as a string of CSS: nothing in it can end the string.
const quoted = (text) =>
  `"${text.replace(/[^ !#-[\]-~\u00a0-\uffff]/g, (sign) => `\\${sign.codePointAt(0).toString(16)} `)}"`;

const LONG = 70;
const short = (text) => ([...text].length > LONG ? `${[...text].slice(0, LONG - 1).join("")}…` : text);

// Sets the margins' words for this record.
export const setPageHead = ({ list: { procedure, digest, effectivity }, job, record }) => {
  const of = listed(
    [
      procedure.title,
      procedure.revision && sentence(WORDS.word.revision, procedure.revision),
      effectivity?.map((one) => one.words).join(", "),
    ],
    " · ",
  );
  const box = (place, content) => `@${place} { content: ${content}; font: 7.5pt system-ui, sans-serif; color: #333; }`;
  const head = (value) => value.slice(0, 16).replace(/.{4}(?=.)/g, "$& ");
  const digests = `${WORDS.report.head} ${head(record.entries.at(-1).event.digest)} · ${WORDS.report.checklist} ${head(digest)}`;
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`@page { ${box("top-left", quoted(short(of)))} ${box("top-right", quoted(short(job.opened.job)))}
    ${box("bottom-left", quoted(digests))}
    ${box("bottom-right", `counter(page) " ${WORDS.ofPages} " counter(pages)`)} }`);
  document.adoptedStyleSheets = [sheet];
};
