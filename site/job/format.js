// Values in words, in the units and with the decimal sign of who reads them.

import { listed } from "./dom.js";
import WORDS from "./words.js";
import { rounded, written } from "./exact.js";
import { base } from "./conditions.js";
import { fromBase, unitFor } from "./units.js";

const PLACES = { "[in_i]": 2, "[ft_i]": 2, m: 2, kN: 2 };

// `2026-11-25T13:05:00`, by the clock of this place.
export const localTime = (at) => {
  const time = new Date(at);
  return new Date(time - time.getTimezoneOffset() * 60000).toISOString().slice(0, 19);
};

// To the minute, as a person reads it.
export const when = (at) => (Number.isNaN(Date.parse(at)) ? at : localTime(at).slice(0, 16).replace("T", " "));

// RFC 3339 with the offset of this place.
export const rightNow = () => {
  const at = new Date();
  const behind = at.getTimezoneOffset();
  return `${localTime(at)}${behind > 0 ? "-" : "+"}${new Date(Math.abs(behind) * 60000).toISOString().slice(11, 16)}`;
};

// `preferences` is { system: "metric" | "inch", sign: "." | "," }.
export const formatter = (list, preferences) => {
  const sign = (text) => (text.includes(".") ? text.replace(".", preferences.sign) : text).replace(/^-/, "−");

  // A value in base units as a person would set it on an instrument of a unit: the text of a number of the format.
  const setting = (value, unit) => rounded(fromBase(value, unit), PLACES[unit.code] ?? 1).replace(/\.0+$/, "");

  // A number of a unit: as it is where it is short, else to what a person reads.
  const number = (value, unit) => {
    const whole = written(value);
    return sign(/^-?\d+(\.\d{1,2})?$/.test(whole) ? whole : rounded(value, PLACES[unit.code] ?? 1));
  };

  // A value in base units, in one unit.
  const inUnit = (value, unit) => `${number(fromBase(value, unit), unit)}\u00a0${unit.symbol}`;

  // In its own unit, and in that of the reader where it is another.
  const amount = (stated) => {
    const own = list.units.get(stated.unit);
    const value = base(stated, list.units);
    const text = `${sign(stated.value)}\u00a0${own?.symbol ?? stated.unit}`;
    const other = own && unitFor(list.units, own, preferences.system, value);
    return !value || !other || other === own ? text : `${text} (${inUnit(value, other)})`;
  };

  const label = (input, choice) =>
    list.inputs.get(input)?.values?.find((value) => value.id === choice)?.label ?? choice;
  const named = (things, id) => list[things].get(id)?.title ?? id;
  const title = (input) => named("inputs", input);
  // What is no plain count stands in words; that nobody knows how many there are stands behind.
  const many = ({ count, up_to, much, unknown }) =>
    much ? (unknown ? "" : `${much}${up_to ? " ×" : ""} `) : count > 1 ? `${count} × ` : "";
  const part = (entry) => {
    const behind = listed([entry.unknown && entry.much, entry.from], ", ");
    const titles = [entry.part, ...(entry.or ?? [])].map((id) => named("parts", id)).join(` ${WORDS.word.or} `);
    return `${many(entry)}${titles}${behind ? ` (${behind})` : ""}`;
  };
  // The checklist's own words tell things of one title apart.
  const tool = ({ any_of, count, title, words }) =>
    words ??
    `${count > 1 ? `${count} × ` : ""}${title ?? any_of.map((id) => named("tools", id)).join(` ${WORDS.word.or} `)}`;
  const state = ({ state: id, value, words }) => {
    if (words) return words;
    const known = list.states.get(id);
    return `${known?.title ?? id}: ${known?.values.find((one) => one.id === value)?.label ?? value}`;
  };

  // The value of an event or of an answer in force.
  const value = (of, input) =>
    of.choice !== undefined ? label(input, of.choice) : of.amount ? amount(of.amount) : (of.text ?? "");

  return { setting, number, inUnit, amount, label, named, title, part, tool, state, value, sign };
};

export const grouped = (digest) => digest.replace(/(.{4})(?=.)/g, "$1 ");
