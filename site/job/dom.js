// Building the page. Text of the procedure enters only as text nodes and attribute values, never as markup.

const SVG = "http://www.w3.org/2000/svg";

const put = (element, content) => {
  for (const one of [content].flat(Infinity)) if (one !== null && one !== undefined && one !== false) element.append(one);
  return element;
};

// `name` may carry a class: "p.quiet". The first of the content may be a plain object: attributes, and handlers as functions
// under `onclick` and the like.
const make = (create) => (name, ...content) => {
  const [tag, ...classes] = name.split(".");
  const element = create(tag);
  if (classes.length) element.setAttribute("class", classes.join("."));
  const about = content[0]?.constructor === Object ? content.shift() : {};
  for (const [key, value] of Object.entries(about)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else if (key === "value") element.value = value;
    else element.setAttribute(key, value);
  }
  return put(element, content);
};

// An element of the page, and one of a drawing.
export const h = make((tag) => document.createElement(tag));
export const s = make((tag) => document.createElementNS(SVG, tag));

export const button = (label, press, about = {}) => h("button", { type: "button", onclick: press, ...about }, label);
export const heading = (...content) => h("h1", { tabindex: "-1", dir: "auto" }, content);
export const paragraph = (...content) => h("p", content);
export const quiet = (...content) => h("p.quiet", content);
export const strong = (...content) => h("b", { dir: "auto" }, content);
export const input = (id, most, value, about = {}) => h("input", { id, maxlength: most, autocomplete: "off", value, "aria-describedby": `${id}-fault`, ...about });

// A place under a field for what is wrong with it, and a way to say it.
export const faultPlace = (id) => h("div", { id: `${id}-fault` });
export const complain = (place, text) => place.replaceChildren(...(text ? [h("div", { role: "alert" }, h("p.fault", text))] : []));

// A text of ours with its places filled: sentence("{n} of {all}", { n: 1, all: 2 }).
export const sentence = (text, places) => text.replace(/\{(\w+)\}/g, (_, name) => places[name] ?? "");
