// The views before the job, and at its ends.

import { h, button, heading, paragraph, quiet, strong, input as inputField, faultPlace, complain, sentence } from "./dom.js";
import * as WORDS from "./words.js";
import { prose } from "./prose.js";
import { row, faultBox, decidedBy, notRight, whys } from "./parts.js";
import { numberEntry } from "./number.js";
import { typedReading } from "./entry.js";
import { evaluate, untrue, base } from "./conditions.js";
import { rolesOf } from "./walk.js";

// Buttons of which one is pressed.
export const pressed = (legend, name, options, value, choose) => {
  const place = faultPlace(name);
  const set = h("fieldset", { id: name, tabindex: "-1" }, h("legend", { dir: "auto" }, legend), h("div", { class: `choices${options.length === 2 ? " two" : ""}` },
    options.map(([id, label]) => button(label, ({ currentTarget }) => {
      for (const each of set.querySelectorAll("button")) each.setAttribute("aria-pressed", String(each === currentTarget));
      complain(place);
      choose(id);
    }, { "data-choice": id, "aria-pressed": String(id === value) }))), place);
  return set;
};

export const unitFields = ({ preferences, prefer }) => [
  pressed(WORDS.units, "system", [["metric", WORDS.metric], ["inch", WORDS.inch]], preferences.system, (system) => prefer({ system })),
  pressed(WORDS.sign, "sign", [[".", WORDS.point], [",", WORDS.comma]], preferences.sign, (sign) => prefer({ sign })),
];

const about = ({ procedure }) => [
  heading(procedure.title),
  quiet(procedure.id, procedure.revision ? `, ${sentence(WORDS.revision, procedure.revision)}, ${procedure.revision.date}` : ""),
  h("div.rows", procedure.text.map((text) => prose(text)),
    [[WORDS.fits, procedure.fits], [WORDS.skill, procedure.skill], [WORDS.licence, procedure.licence]].map(([label, texts]) => texts.length > 0 && row(label, texts.map((text) => paragraph(text))))),
];

// Answers that do not go together, by the words of the rules that they break; null where there are none.
export const contradiction = (rules) => (rules.length ? faultBox(WORDS.contradiction, rules.map((rule) => paragraph(strong(rule.reason))), paragraph(WORDS.fixAnswers)) : null);

// Who, which vehicle, which options, which givens: one page, because none of it changes the next question.
export const startView = (app) => {
  const { list, ui } = app;
  const answers = ui.answers ??= new Map();
  const said = h("div", { "aria-live": "polite" });

  const broken = () => {
    const known = new Map([...answers].map(([id, { choice, amount }]) => [id, { choice, base: amount && base(amount, list.units) }]));
    return list.checklist.rules.filter((rule) => untrue(rule, known, list.units));
  };
  const answer = (id, value) => {
    if (value) answers.set(id, value);
    else answers.delete(id);
    said.replaceChildren(...[contradiction(broken())].filter(Boolean));
  };

  const field = (id, label, hint, most, value) => [h("label.field", { for: id }, strong(label), " ", hint),
    inputField(id, most, ui[id] ?? value, { oninput: ({ target }) => { ui[id] = target.value; } }), faultPlace(id)];

  const asked = list.asked.map((input) => {
    const { id } = input;
    if (input.values) {
      const body = pressed(input.title, `of-${id}`, input.values.map((value) => [value.id, value.label]), answers.get(id)?.choice, (choice) => answer(id, { choice }));
      return { id: `of-${id}`, body: h("div.ask", body), check: () => answers.has(id) || complain(body.lastChild, WORDS.choose) };
    }
    return { id: `of-${id}`, ...numberEntry({ ...app.shared(), coarse: () => false, ui: (ui.drafts ??= {})[id] ??= {} }, {
      id: `of-${id}`, title: input.title, own: list.unitOf(input), more: quiet(input.shown),
      read(text, unit) {
        const got = typedReading(text, unit, input, list, new Map());
        answer(id, got.amount && { amount: got.amount });
        return got;
      },
    }) };
  });

  const filled = (id, text) => ({ id, check: () => document.getElementById(id).value.trim() || complain(document.getElementById(`${id}-fault`), text) });
  const all = [filled("name", WORDS.nameMissing), filled("job", WORDS.jobMissing), ...asked];
  return {
    body: [about(list.checklist), h("h2", WORDS.whoTitle), h("div.ask", field("name", WORDS.name, WORDS.nameHint, 200, app.preferences.name),
      field("job", WORDS.jobName, WORDS.jobHint, 1000), unitFields(app)), asked.length > 0 && h("h2", WORDS.aboutJob), asked.map((one) => one.body), said],
    main: { label: WORDS.start, press() {
      const wrong = all.filter((one) => !one.check());
      if (wrong.length) return document.getElementById(wrong[0].id).focus();
      if (broken().length) return said.scrollIntoView();
      const [by, vehicle] = ["name", "job"].map((id) => document.getElementById(id).value.trim());
      app.open(by, vehicle, list.asked.map((input) => ({ type: "answer", input: input.id, ...answers.get(input.id) })));
    } },
  };
};

export const layOutView = (app) => {
  const { list, format, job } = app;
  const { checklist } = list;
  const items = (things) => h("ul", things.map((thing) => h("li", thing)));
  const remark = (...texts) => texts.some(Boolean) && h("span.quiet", ` (${texts.filter(Boolean).join("; ")})`);
  const count = (n) => (n > 1 ? `${n} × ` : "");
  const worn = checklist.protection.filter((one) => one.throughout);
  return {
    body: [heading(WORDS.layOut), whys(app, job.opening), h("div", { class: "rows" },
      worn.length > 0 && row(WORDS.wearAll, items(worn.map((one) => one.title))),
      checklist.lay_out.length > 0 && row(WORDS.tools, items(checklist.lay_out.map((one) => [count(one.count), one.any_of.map((id) => list.tools.get(id)?.title).join(WORDS.orElse),
        remark(one.optional && WORDS.without, one.when && sentence(WORDS.onlyWith, one))]))),
      checklist.kit.filter((group) => !group.when || evaluate(group.when, job.known, list.units) !== false)
        .map((group) => row(group.title, items(group.entries.map((one) => [count(one.count), list.parts.get(one.part)?.title])))),
      checklist.states.length > 0 && row(WORDS.startState, items(checklist.states.map((state) => format.state({ state: state.id, value: state.starts })))))],
    main: { label: WORDS.layOutDone, press: app.begin },
  };
};

const leaveAs = ({ format }, states) => states.length > 0 && [paragraph(WORDS.leaveAs), h("ul", states.map((state) => h("li", strong(format.state(state)))))];

export const stopView = (app) => {
  const { now, job, list } = app;
  const { limit, stop, check } = now;
  const states = stop ? stop.leave_as : list.checklist.states.filter((state) => state.ends).map((state) => ({ state: state.id, value: state.ends }));
  return {
    body: [h("h1.unseen", { tabindex: "-1" }, WORDS.stop),
      check ? notRight(app, check) : stop && whys(app, job.path.at(-1)?.log || job.opening),
      h("div.stop", { role: "alert" }, h("p.word", WORDS.stop.toUpperCase()), h("div.text", { dir: "auto" },
        limit && h("div.reason", paragraph(limit.title, ": ", app.format.condition(limit.holds)), decidedBy(app, [limit.holds])),
        h("p.what", stop?.text ?? limit.stop ?? WORDS.stopLead), job.path.length > 0 && leaveAs(app, states))),
      quiet(WORDS.wrongReading)],
    main: { label: WORDS.closeRecord, press: () => app.act({ type: "close", outcome: "stopped", at_stop: (limit || stop).id }) },
  };
};

export const handoverView = (app) => {
  const { now: { handover, roles: [role] }, job } = app;
  const lines = handover.lines.filter((line) => line.kind !== "sign").map((line) => line.kind === "text"
    ? prose(line.prose) : row(WORDS.LAST[line.kind], line.text));
  const place = faultPlace("entry");
  const field = inputField("entry", 200);
  const signs = (who) => sentence(WORDS.signAs, { role: who });
  return {
    body: [heading(WORDS.handover), whys(app, job.path.at(-1)?.log || []), h("div.say", leaveAs(app, handover.leave_as)), h("div.rows", lines,
      rolesOf(handover).filter((who) => job.signed.has(who)).map((who) => row(signs(who), strong(job.signed.get(who).name)))),
      role && h("div.ask", h("label.of", { for: "entry", dir: "auto" }, signs(role)), field, place)],
    main: role ? { label: sentence(WORDS.signButton, { role }), press() {
      if (field.value.trim()) return app.act({ type: "sign", handover: handover.id, role, name: field.value.trim() });
      complain(place, WORDS.signMissing);
      field.focus();
    } } : { label: WORDS.closeRecord, press: () => app.act({ type: "close", outcome: "handed-over" }) },
  };
};

export const stuckView = (app) => ({ body: [heading(WORDS.stuck), paragraph(WORDS.stuckWhy)], main: { label: WORDS.breakOff, press: app.breakOff } });
