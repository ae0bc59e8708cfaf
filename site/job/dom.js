// Building the page. Text of the procedure enters only as text nodes and attribute values, never as markup.

const SVG = "http://www.w3.org/2000/svg";

const put = (element, content) => {
  for (const one of [content].flat(Infinity)) if (one !== null && one !== undefined && one !== false) element.append(one);
  return element;
};

const make = (element, about, content) => {
  for (const [name, value] of Object.entries(about)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value") element.value = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  return put(element, content);
};

// An element: h("p", { class: "quiet" }, "text", child, …). Handlers are functions under `onclick` and the like.
export const h = (name, about = {}, ...content) => make(document.createElement(name), about, content);

// An element of a drawing.
export const s = (name, about = {}, ...content) => make(document.createElementNS(SVG, name), about, content);

// Text of a table with its places filled: say("{n} of {all}", { n: 1, all: 2 }). A filling may be an element.
export const filled = (text, places = {}) =>
  text.split(/\{([a-z]+)\}/i).map((part, at) => (at % 2 ? places[part] ?? "" : part));
export const sentence = (text, places) => filled(text, places).join("");
