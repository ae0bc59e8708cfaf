// A field for a number, with its units, how it is read, its scale, and large keys where fingers press.

import { h, fill, button, input, faultPlace, complain, sentence } from "./dom.js";
import WORDS from "./words.js";
import { unitFor } from "./units.js";

// `about`: title, own (unit), read(text, unit), and where they are wanted scale(value), write(got), more, near (about how much),
// id, hint (beside an empty field), signed (whether it may be below nothing), typed(text), says. `drawn` is the scale, which the view puts where it has room.
export const numberEntry = ({ list, wording, preferences, ui, coarse }, about) => {
  const {
    id = "entry",
    title,
    own,
    read,
    scale,
    write,
    more,
    hint,
    near,
    signed,
    typed: told,
    says = WORDS.writeDown,
  } = about;
  const other = unitFor(list.units, own, own.system === "metric" ? "inch" : "metric", near);
  const units = [own, other].filter((unit, i, all) => all.indexOf(unit) === i);
  const unit = () => units.find(({ code }) => code === ui.unit) ?? unitFor(list.units, own, preferences.system, near);
  const readAs = h("p.read-as", { id: `${id}-as`, "aria-live": "polite" });
  const drawn = h("div.drawn");
  const place = faultPlace(id);
  const field = input(id, 24, ui.draft, {
    inputmode: coarse() ? "none" : "decimal",
    "aria-describedby": `${id}-as ${id}-fault`,
  });
  const update = () => {
    const got = field.value.trim() ? read(field.value, unit()) : {};
    fill(readAs, got.amount ? sentence(WORDS.readAs, { value: wording.amount(got.amount) }) : !field.value && hint);
    fill(drawn, scale?.(got.base ?? got.value ?? null));
  };
  const typed = () => {
    ui.draft = field.value;
    field.removeAttribute("aria-invalid");
    complain(place);
    update();
    told?.();
  };
  field.addEventListener("input", typed);
  const toggle = h(
    "div.units",
    units.length < 2
      ? h("span.only", own.symbol)
      : units.map((one) =>
          button(
            one.symbol,
            ({ currentTarget }) => {
              ui.unit = one.code;
              for (const each of toggle.children) each.setAttribute("aria-pressed", String(each === currentTarget));
              typed();
              field.focus();
            },
            { "aria-pressed": String(one === unit()) },
          ),
        ),
  );

  // What was typed, or null after saying why it is not taken.
  const check = () => {
    const got = read(field.value, unit());
    if (!got.fault && !got.refuse) return got;
    if (got.fault) complain(place, refusal(wording, got, unit()));
    else fill(place, got.refuse());
    field.setAttribute("aria-invalid", "true");
    field.focus();
    field.select();
    return null;
  };
  update();
  return {
    check,
    drawn,
    body: h(
      "div.ask",
      h("label.of", { for: id }, title),
      more,
      h("div.entry", field, toggle),
      place,
      readAs,
      coarse() &&
        keys(
          preferences,
          field,
          units.some(({ code }) => code === "[in_i]"),
          signed,
          typed,
        ),
    ),
    main: {
      says,
      press() {
        const got = check();
        if (got) write(got);
      },
    },
  };
};

// Digits and the decimal sign; a fourth column where fractions of an inch or a minus may be typed.
const keys = ({ sign }, field, fractions, signed, typed) => {
  const four = fractions || signed;
  const key = (text, label) =>
    button(
      text === " " ? "␣" : text,
      () => {
        field.value = text === "⌫" ? field.value.slice(0, -1) : (field.value + text).slice(0, 24);
        typed();
        field.dispatchEvent(new Event("kept", { bubbles: true }));
      },
      { tabindex: -1, "aria-label": label, onpointerdown: (event) => event.preventDefault() },
    );
  const erase = key("⌫", WORDS.erase);
  const line = (digits, last) => [[...digits].map((digit) => key(digit)), four && (last || h("i"))];
  return h(
    `div.keys${four ? ".four" : ""}`,
    { role: "group", "aria-label": WORDS.keypad },
    line("789", erase),
    line("456", key("-")),
    line("123", fractions && key("/", WORDS.fractionKey)),
    key(sign, WORDS.sign),
    key("0"),
    four ? [h("i"), fractions ? key(" ", WORDS.spaceKey) : h("i")] : erase,
  );
};

// Why a typed number is not taken, and what to do.
const refusal = (wording, got, unit) => {
  const at = (value) => value?.d && wording.inUnit(value, unit);
  const own = (value) => value?.d && wording.inUnit(value, got.own || unit);
  const number = (text) => text && wording.sign(text);
  return sentence(WORDS.typed[got.fault], {
    sign: wording.sign("."),
    value: at(got.value),
    low: at(got.low),
    high: at(got.high),
    below: own(got.below),
    above: own(got.above),
    reads: got.reads && wording.amount(got.reads),
    decimal: number(got.decimal),
    whole: number(got.whole),
    unit: (got.own || unit).symbol,
  });
};
