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

export const button = (label, press, about = {}) => h("button", { type: "button", onclick: press, ...about }, label);
export const heading = (...content) => h("h1", { tabindex: "-1", dir: "auto" }, content);
export const paragraph = (...content) => h("p", {}, content);
export const quiet = (...content) => h("p", { class: "quiet" }, content);
export const strong = (...content) => h("b", { dir: "auto" }, content);
export const input = (id, most, value, about = {}) => h("input", { id, maxlength: most, autocomplete: "off", value, "aria-describedby": `${id}-fault`, ...about });

// A place under a field for what is wrong with it, and a way to say it.
export const faultPlace = (id) => h("div", { id: `${id}-fault` });
export const complain = (place, text) => place.replaceChildren(...(text ? [h("div", { role: "alert" }, h("p", { class: "fault" }, text))] : []));

// Text of a table with its places filled: say("{n} of {all}", { n: 1, all: 2 }). A filling may be an element.
export const filled = (text, places = {}) =>
  text.split(/\{([a-z]+)\}/i).map((part, at) => (at % 2 ? places[part] ?? "" : part));
export const sentence = (text, places) => filled(text, places).join("");
