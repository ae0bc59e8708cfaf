// Building the page. Text of the procedure enters only as text nodes and attribute values, never as markup.

const SVG = "http://www.w3.org/2000/svg";

// What is empty, or not so, is left out: `some.length && h(…)`.
const put = (element, content) => {
  for (const one of [content].flat(Infinity)) if (one) element.append(one);
  return element;
};

// `name` may carry a class: "p.quiet". The first of the content may be a plain object: attributes, and handlers as functions
// under `onclick` and the like.
const make =
  (create) =>
  (name, ...content) => {
    const [tag, ...classes] = name.split(".");
    const element = create(tag);
    if (classes.length) element.setAttribute("class", classes.join(" "));
    const about = content[0]?.constructor === Object ? content.shift() : {};
    for (const [key, value] of Object.entries(about)) {
      if ((value ?? false) === false) continue;
      if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
      else if (key === "value") element.value = value;
      else element.setAttribute(key, value);
    }
    return put(element, content);
  };

// Puts something in the place of what is there.
export const fill = (element, ...content) => {
  element.replaceChildren();
  put(element, content);
};

// An element of the page, and one of a drawing.
export const h = make((tag) => document.createElement(tag));
export const s = make((tag) => document.createElementNS(SVG, tag));

export const button = (label, press, about = {}) => h("button", { type: "button", onclick: press, ...about }, label);
export const heading = (...content) => h("h1", { tabindex: -1 }, content);
export const paragraph = (...content) => h("p", content);
export const quiet = (...content) => h("p.quiet", content);
export const soft = (...content) => h("span.quiet", content);
export const strong = (...content) => h("b", content);
export const input = (id, most, value, about = {}) =>
  h("input", { id, maxlength: most, autocomplete: "off", value, "aria-describedby": `${id}-fault`, ...about });

// A place under a field for what is wrong with it, and a way to say it.
export const faultPlace = (id) => h("div", { id: `${id}-fault` });
export const complain = (place, text) => fill(place, text && h("div", { role: "alert" }, h("p.fault", text)));

// A field for one line of text, with texts to press where some are ready: they are put in as `join` says, or taken at once by
// `take`. `keep` remembers what is typed while the view is drawn anew. `check` gives the text; where it does not fit, it says
// what is missing and gives none.
export const textField = (
  keep,
  id,
  label,
  { hint, missing, most = 4000, value, ready = [], fits = Boolean, join = (_, said) => said, take } = {},
) => {
  const place = faultPlace(id);
  const field = input(id, most, keep[id] ?? value, {
    oninput: () => {
      keep[id] = field.value;
    },
  });
  return {
    body: [
      h("label.of", { for: id }, label, hint && soft(" ", hint)),
      ready.length &&
        h(
          "div.pair.ready",
          ready.map((text) =>
            button(text, () => {
              keep[id] = field.value = join(field.value, text);
              if (take) take();
              else field.focus();
            }),
          ),
        ),
      field,
      place,
    ],
    check() {
      const text = field.value.trim();
      if (fits(text)) return text;
      complain(place, typeof missing === "function" ? missing(text) : missing);
      field.focus();
      return "";
    },
  };
};

// Whether all fields hold what they should; the first that does not gets the keyboard.
export const checked = (fields) =>
  fields
    .toReversed()
    .map((field) => field.check())
    .every(Boolean);

// A text of ours with its places filled: sentence("{n} of {all}", { n: 1, all: 2 }).
export const sentence = (text, places) => text.replace(/\{(\w+)\}/g, (_, name) => places[name] ?? "");

// Those of the texts that are there, in one.
export const listed = (texts, between) => texts.filter(Boolean).join(between);
