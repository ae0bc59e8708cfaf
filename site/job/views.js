// The views before the job, and at its ends.

import { h, sentence } from "./dom.js";
import * as WORDS from "./words.js";
import { prose } from "./prose.js";
import { row, fault, faultBox, notRight, whys } from "./parts.js";
import { numberEntry, refusal } from "./step.js";
import { typedReading } from "./entry.js";
import { evaluate, base } from "./conditions.js";
import { unitFor } from "./units.js";
import { rolesOf } from "./walk.js";

const field = (id, label, hint, about = {}) => h("div", { class: "field" }, h("label", { for: id }, h("span", {}, label, hint && h("span", { class: "hint" }, ` ${hint}`))),
  h("input", { id, autocomplete: "off", maxlength: 200, ...about }));

// Buttons of which one is pressed.
export const pressed = (legend, name, options, value, choose) => {
  const set = h("fieldset", { id: name, tabindex: "-1" }, h("legend", { dir: "auto" }, legend), h("div", { class: `choices${options.length === 2 ? " two" : ""}` },
    options.map(([id, label]) => h("button", { type: "button", "data-choice": id, "aria-pressed": String(id === value), class: "pick", onclick: ({ currentTarget }) => {
      for (const button of set.querySelectorAll("button")) button.setAttribute("aria-pressed", String(button === currentTarget));
      choose(id);
    } }, label))));
  return set;
};

export const unitFields = (app) => [
  pressed(WORDS.units, "system", [["metric", WORDS.metric], ["inch", WORDS.inch]], app.preferences.system, (id) => app.prefer({ system: id })),
  pressed(WORDS.sign, "sign", [[".", WORDS.point], [",", WORDS.comma]], app.preferences.sign, (id) => app.prefer({ sign: id })),
];

const about = ({ list: { checklist: { procedure } } }) => h("div", {},
  h("h1", { tabindex: "-1", dir: "auto" }, procedure.title),
  h("p", { class: "quiet" }, procedure.id, procedure.revision ? `, ${sentence(WORDS.revision, procedure.revision)}, ${procedure.revision.date}` : ""));

const aboutMore = ({ list: { checklist: { procedure } } }) => h("div", { class: "rows" }, procedure.text.map((text) => prose(text, (name) => name)),
  [[WORDS.fits, procedure.fits], [WORDS.skill, procedure.skill], [WORDS.licence, procedure.licence]].map(([label, texts]) =>
    texts.length > 0 && row(label, texts.map((text) => h("p", {}, text)))));

// Who, which vehicle, which options, which givens: one page, because none of it changes the next question.
export const startView = (app) => {
  const { list, ui } = app;
  const answers = ui.answers ??= new Map();
  const contradictions = h("div", { id: "contradictions", "aria-live": "polite" });
  const known = () => new Map([...answers].map(([id, answer]) => [id, answer.amount ? { ...answer, base: base(answer.amount, list.units) } : answer]));
  const broken = () => list.checklist.rules.filter((rule) => (!rule.when || evaluate(rule.when, known(), list.units)) && evaluate(rule.holds, known(), list.units) === false);
  const look = () => {
    const rules = broken();
    contradictions.replaceChildren(...(rules.length ? [faultBox(WORDS.contradiction, rules.map((rule) => h("p", { dir: "auto" }, h("b", {}, rule.reason))), h("p", {}, WORDS.fixAnswers))] : []));
  };
  const givens = list.asked.filter((input) => !input.values).map((input) => given(app, input, answers, look));
  const options = list.asked.filter((input) => input.values).map((input) => h("div", {},
    pressed(input.title, `option-${input.id}`, input.values.map((value) => [value.id, value.label]), answers.get(input.id)?.choice, (choice) => {
      answers.set(input.id, { choice });
      look();
    }), h("div", { id: `fault-${input.id}` })));
  const name = field("name", WORDS.name, WORDS.nameHint, { value: ui.name ?? app.preferences.name ?? "", oninput: (event) => { ui.name = event.target.value; } });
  const job = field("job", WORDS.jobName, WORDS.jobHint, { value: ui.job ?? "", maxlength: 1000, oninput: (event) => { ui.job = event.target.value; } });
  look();
  return {
    body: [about(app), aboutMore(app), h("h2", {}, WORDS.whoTitle), h("div", { class: "ask" }, name, h("div", { id: "fault-name" }), job, h("div", { id: "fault-job" }), unitFields(app)),
      list.asked.length > 0 && h("h2", {}, WORDS.aboutJob), options.map((one) => h("div", { class: "ask" }, one)), givens.map((one) => one.body), contradictions],
    main: { label: WORDS.start, press: () => {
      const faults = [];
      const say = (id, text, focus) => {
        document.getElementById(`fault-${id}`)?.replaceChildren(...(text ? [h("div", { role: "alert" }, fault(text))] : []));
        if (text) faults.push(focus);
      };
      const [by, vehicle] = ["name", "job"].map((id) => document.getElementById(id).value.trim());
      say("name", by ? "" : WORDS.nameMissing, "name");
      say("job", vehicle ? "" : WORDS.jobMissing, "job");
      for (const input of list.asked.filter((one) => one.values)) say(input.id, answers.has(input.id) ? "" : WORDS.choose, `option-${input.id}`);
      for (const one of givens) if (!one.read()) faults.push(one.id);
      look();
      if (broken().length) faults.push(`option-${list.asked[0].id}`);
      if (faults.length) return document.getElementById(faults[0])?.focus();
      app.open(by, vehicle, list.asked.map((input) => ({ type: "answer", input: input.id, ...answers.get(input.id) })));
    } },
  };
};

// A number known before the job. Each has a draft of its own.
const given = (app, input, answers, look) => {
  const ui = (app.ui.givens ??= {})[input.id] ??= {};
  const own = app.list.units.get((input.reads || input.low).unit);
  const read = (text, unit) => typedReading(text, unit, input, app.list, new Map());
  const entry = numberEntry({ list: app.list, format: app.format, preferences: app.preferences, ui, coarse: () => false }, {
    title: input.title, own, more: h("p", { class: "quiet" }, input.shown),
    read: (text, unit) => {
      const got = read(text, unit);
      if (got.amount) answers.set(input.id, { amount: got.amount });
      else answers.delete(input.id);
      look();
      return got;
    },
  });
  const id = `given-${input.id}`;
  const box = entry.body.querySelector("input");
  const places = { entry: id, "read-as": `${id}-as`, refused: `fault-${input.id}` };
  for (const [from, to] of Object.entries(places)) {
    const piece = entry.body.querySelector(`#${from}`);
    if (piece) piece.id = to;
  }
  entry.body.querySelector("label").setAttribute("for", id);
  box.setAttribute("aria-describedby", `${places["read-as"]} ${places.refused}`);
  box.setAttribute("inputmode", "decimal");
  return {
    id, body: entry.body,
    read() {
      const unit = ui.unit || unitFor(app.list.units, own, app.preferences.system);
      const got = read(box.value, unit);
      entry.body.querySelector(`[id="${places.refused}"]`).replaceChildren(...(got.fault ? [h("div", { role: "alert" }, fault(refusal(app, got, unit)))] : []));
      return !got.fault;
    },
  };
};

export const layOutView = (app) => {
  const { list, format, job } = app;
  const { checklist } = list;
  const tool = (id) => list.tools.get(id)?.title ?? id;
  const remark = (...texts) => texts.some(Boolean) && h("span", { class: "quiet" }, ` (${texts.filter(Boolean).join("; ")})`);
  const worn = checklist.protection.filter((one) => one.throughout);
  const kits = checklist.kit.filter((group) => !group.when || evaluate(group.when, job.known, list.units) !== false);
  return {
    body: [h("h1", { tabindex: "-1" }, WORDS.layOut), whys(app, job.opening), h("div", { class: "rows" },
      worn.length > 0 && row(WORDS.wearAll, h("ul", {}, worn.map((one) => h("li", {}, one.title)))),
      checklist.lay_out.length > 0 && row(WORDS.tools, h("ul", {}, checklist.lay_out.map((one) => h("li", {}, one.count > 1 ? `${one.count} × ` : "", one.any_of.map(tool).join(WORDS.orElse),
        remark(one.optional && WORDS.without, one.when && sentence(WORDS.onlyWith, { when: one.when })))))),
      kits.map((group) => row(group.title, h("ul", {}, group.entries.map(({ part, count }) => h("li", {}, count === undefined ? "" : `${count} × `, list.parts.get(part)?.title ?? part))))),
      checklist.states.length > 0 && row(WORDS.startState, h("ul", {}, checklist.states.map((state) => h("li", {}, format.state({ state: state.id, value: state.starts }))))))],
    main: { label: WORDS.layOutDone, press: () => app.begin() },
  };
};

const leaveAs = ({ format }, states) => states?.length > 0 && [h("p", {}, WORDS.leaveAs), h("ul", {}, states.map((state) => h("li", {}, h("b", {}, format.state(state)))))];

export const stopView = (app) => {
  const { now, job, format } = app;
  const { limit, stop, check } = now;
  const states = stop ? stop.leave_as : app.list.checklist.states.filter((state) => state.ends).map((state) => ({ state: state.id, value: state.ends }));
  const last = job.path[job.path.length - 1];
  return {
    body: [h("h1", { class: "unseen", tabindex: "-1" }, WORDS.stop),
      check && notRight(app, check, check.otherwise.text, WORDS.notRight), !check && stop && whys(app, last?.log || job.opening),
      h("div", { class: "stop", role: "alert" }, h("p", { class: "word" }, WORDS.stop.toUpperCase()), h("div", { class: "text", dir: "auto" },
        limit && h("p", { class: "reason" }, limit.title, ": ", format.condition(limit.holds)),
        h("p", { class: "what" }, (limit || stop).text ?? limit?.stop ?? WORDS.stopLead),
        leaveAs(app, job.path.length ? states : []))),
      h("p", { class: "quiet" }, WORDS.wrongReading)],
    main: { label: WORDS.closeStopped, press: () => app.act({ type: "close", outcome: "stopped", at_stop: (limit || stop).id }) },
  };
};

export const handoverView = (app) => {
  const { handover, roles } = app.now;
  const last = app.job.path[app.job.path.length - 1];
  const lines = handover.lines.filter((line) => line.kind !== "sign").map((line) => line.kind === "text"
    ? prose(line.prose, (name) => line.prose.mentions.find((one) => one.text === name)?.words ?? name) : row(WORDS.LAST[line.kind], line.text));
  const role = roles[0];
  const place = h("div", { id: "refused", "aria-live": "polite" });
  const input = role && h("input", { id: "entry", maxlength: 200, autocomplete: "off", "aria-describedby": "refused" });
  return {
    body: [h("h1", { tabindex: "-1" }, WORDS.handover), whys(app, last?.log || []), h("div", { class: "say" }, leaveAs(app, handover.leave_as)), h("div", { class: "rows" }, lines,
      rolesOf(handover).filter((one) => app.job.signed.has(one)).map((one) => row(sentence(WORDS.signAs, { role: one }), h("b", {}, app.job.signed.get(one).name)))),
      role && h("div", { class: "ask" }, h("label", { class: "of", for: "entry", dir: "auto" }, sentence(WORDS.signAs, { role })), input, place)],
    main: role ? { label: sentence(WORDS.signButton, { role }), press: () => {
      if (input.value.trim()) return app.act({ type: "sign", handover: handover.id, role, name: input.value.trim() });
      place.replaceChildren(h("div", { role: "alert" }, fault(WORDS.signMissing)));
      input.focus();
    } } : { label: WORDS.closeDone, press: () => app.act({ type: "close", outcome: "handed-over" }) },
  };
};

export const stuckView = (app) => ({
  body: [h("h1", { tabindex: "-1" }, WORDS.stuck), h("p", {}, WORDS.stuckWhy)],
  main: { label: WORDS.breakOff, press: () => app.breakOff() },
});
