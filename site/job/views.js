// The views before the job: what it is about, who works on which vehicle, and its options and givens.

import {
  h,
  fill,
  heading,
  paragraph,
  quiet,
  strong,
  soft,
  faultPlace,
  complain,
  textField,
  checked,
  sentence,
  listed,
} from "./dom.js";
import WORDS from "./words.js";
import { prose } from "./prose.js";
import { row, limitWords, choices, faultBox, madeFor, inputsOf } from "./parts.js";
import { numberEntry } from "./number.js";
import { typedReading } from "./entry.js";
import { untrue, base } from "./conditions.js";
import { isAsked } from "./walk.js";

// Buttons of which one is pressed.
export const pressed = (legend, name, values, value, choose) => {
  const place = faultPlace(name);
  const buttons = choices(
    values,
    (id, button) => {
      for (const each of buttons.children) each.setAttribute("aria-pressed", each === button);
      complain(place);
      choose(id);
    },
    (id) => ({ "aria-pressed": String(id === value) }),
  );
  const set = h("fieldset", { id: name, tabindex: -1 }, h("legend", legend), buttons, place);
  return {
    body: set,
    refuse(text) {
      complain(place, text);
      set.focus();
    },
  };
};

export const unitFields = ({ preferences, prefer }) => [
  pressed(
    WORDS.units,
    "system",
    [
      { id: "metric", label: WORDS.metric },
      { id: "inch", label: WORDS.inch },
    ],
    preferences.system,
    (system) => prefer({ system }),
  ).body,
  pressed(
    WORDS.sign,
    "sign",
    [
      { id: ".", label: WORDS.point },
      { id: ",", label: WORDS.comma },
    ],
    preferences.sign,
    (sign) => prefer({ sign }),
  ).body,
];

const about = (list) => {
  const { procedure } = list;
  return [
    heading(procedure.title),
    quiet(
      procedure.id,
      procedure.revision ? `, ${sentence(WORDS.word.revision, procedure.revision)}, ${procedure.revision.date}` : "",
    ),
    h(
      "div.rows.about",
      madeFor(list),
      procedure.text.map((text) => prose(text)),
      [
        [WORDS.about.fits, procedure.fits],
        [WORDS.about.whoMay, procedure.skill],
        ...timeOf(procedure.time),
        [WORDS.about.licence, [...procedure.licence, procedure.local_codes]],
      ].map(([label, all]) => {
        const texts = all.filter(Boolean);
        return (
          texts.length &&
          row(
            label,
            texts.map((text) => paragraph(text)),
          )
        );
      }),
    ),
  ];
};

const timeOf = (time) =>
  time
    ? [
        [
          WORDS.about.time,
          [
            [time.total, ...(time.cases ?? []).map((one) => `${one.time}: ${one.when_words}`)].join("; "),
            ...(time.remarks ?? []),
          ],
        ],
        [WORDS.about.people, [listed([time.people, time.people_remark], ". ")]],
      ]
    : [];

// What goes together, what must hold, and what is decided already.
const bounds = ({ rules, limits, met = [] }) => [
  rules.length &&
    row(
      WORDS.about.rules,
      rules.map(({ words, reason }) => paragraph(words && strong(words, " "), reason)),
    ),
  limits.size && row(WORDS.about.limits, [...limits.values()].map(limitWords)),
  met.length &&
    row(
      WORDS.about.met,
      met.map(({ title, when_words: when, words, numbers }) =>
        paragraph(
          strong(title),
          ". ",
          when && soft(sentence(WORDS.onlyFor, { when }), ": "),
          words,
          ". ",
          numbers ? [numbers, ": ", WORDS.about.holds, "."] : WORDS.about.holdsEver,
        ),
      ),
    ),
];

// Answers that do not go together, by the words of the rules that they break; null where there are none.
export const contradiction = (rules) =>
  rules.length
    ? faultBox(
        WORDS.contradiction,
        rules.map((rule) => paragraph(strong(rule.reason))),
        paragraph(WORDS.fixAnswers),
      )
    : null;

// The answers that a view holds, which is text, as a map of inputs to values.
const answersIn = (ui, had = []) => {
  const said = (ui.said ??= Object.fromEntries(had));
  return {
    get: (id) => said[id],
    set(id, value) {
      said[id] = value;
    },
    entries: () => Object.entries(said).filter(([, value]) => value),
  };
};

// Answers as conditions look at them.
const knownBy = (answers, list) =>
  new Map(
    answers.entries().map(([id, { choice, amount }]) => [id, { choice, base: amount && base(amount, list.units) }]),
  );

// Options and givens, all on one page: a given that is not there with the options as they stand is not in sight. `answers` maps inputs
// to values and gets what is said here; `before` are the answers that are to be replaced.
const questions = (app, inputs, answers, before = new Map()) => {
  const { list, wording, ui } = app;
  const said = h("div", { "aria-live": "polite" });
  const known = () => knownBy(answers, list);
  const broken = () => list.rules.filter((rule) => untrue(rule, known(), list.units));
  const all = [];
  // A given that is not there is out of sight.
  const look = () => {
    for (const { input, body } of all) if (input) body.hidden = !isAsked(input, known(), list);
  };
  const answer = (id, value) => {
    answers.set(id, value);
    look();
    fill(said, contradiction(broken()));
  };
  const one = (input) => {
    const { id } = input;
    const had = before.get(id);
    const until = had && quiet(`${WORDS.untilNow}: `, strong(wording.value(had, id)));
    if (input.values) {
      const set = pressed(input.title, `of-${id}`, input.values, answers.get(id)?.choice, (choice) =>
        answer(id, { choice }),
      );
      return { body: h("div.ask", set.body, until), check: () => Boolean(answers.get(id)) || set.refuse(WORDS.choose) };
    }
    return numberEntry(
      { ...app.shared(), coarse: () => false, ui: ((ui.drafts ??= {})[id] ??= {}) },
      {
        id: `of-${id}`,
        title: input.title,
        own: list.unitOf(input),
        more: [quiet(input.shown), until],
        read(text, unit) {
          const got = typedReading(text, unit, input, list, new Map());
          answer(id, got.amount && { amount: got.amount });
          return got;
        },
      },
    );
  };
  all.push(
    ...inputs.map((input) => {
      if (!input.when) return one(input);
      const entry = one(input);
      const body = h("div", quiet(soft(sentence(WORDS.onlyFor, { when: input.when_words }))), entry.body);
      return { input, body, check: () => body.hidden || entry.check() };
    }),
  );
  look();
  return {
    all,
    body: [all.map((one) => one.body), said],
    agree() {
      const fine = !broken().length;
      if (!fine) said.scrollIntoView();
      return fine;
    },
  };
};

export const nameField = ({ ui, preferences }, hint) =>
  textField(ui, "name", WORDS.name, { hint, missing: WORDS.nameMissing, most: 200, value: preferences.name });

// Who, which vehicle, which options, which givens.
export const startView = (app) => {
  const { list, ui } = app;
  const answers = answersIn(ui);
  const name = nameField(app, WORDS.nameHint);
  const job = textField(ui, "job", WORDS.report.vehicle, {
    hint: WORDS.jobHint,
    missing: WORDS.jobMissing,
    most: 1000,
  });
  const asked = questions(app, list.asked, answers);
  return {
    body: [
      about(list),
      h("h2", WORDS.whoTitle),
      h("div.ask", name.body, job.body, h("div.pair", unitFields(app))),
      h("div.rows.about", bounds(list)),
    ],
    side: [list.asked.length && h("h2", WORDS.aboutJob), asked.body],
    through: true,
    main: {
      says: WORDS.start,
      press() {
        if (checked([name, job, ...asked.all]) && asked.agree())
          app.open(
            name.check(),
            job.check(),
            list.asked
              .filter((input) => isAsked(input, knownBy(answers, list), list))
              .map((input) => ({ type: "answer", input: input.id, ...answers.get(input.id) })),
          );
      },
    },
  };
};

// The options and givens that have no answer, or one that this revision of the procedure does not take. Only a job that was
// begun under another revision has such, or one whose options were corrected so that another given is asked for.
export const unsettled = ({ list, record }) => {
  const { known } = record.job;
  const wrong = record.entries
    .filter(({ counts, event, faults }) => counts && event.type === "answer" && faults.length)
    .map(({ event }) => event.input);
  if (wrong.length)
    wrong.push(...list.rules.filter((rule) => untrue(rule, known, list.units)).flatMap((rule) => inputsOf(rule.holds)));
  return list.asked.filter(
    (input) => isAsked(input, known, list) && (wrong.includes(input.id) || !known.has(input.id)),
  );
};

// Asks for these. What is said anew corrects the old answer, so that whatever still fits stays done.
export const answersView = (app) => {
  const inputs = unsettled(app);
  const entries = new Map(
    app.record.entries
      .filter(({ counts, event }) => counts && event.type === "answer")
      .map((entry) => [entry.event.input, entry]),
  );
  const had = new Map([...entries].map(([id, { now }]) => [id, now]));
  const answers = answersIn(app.ui, had);
  const asked = questions(app, inputs, answers, had);
  return {
    body: [heading(WORDS.aboutJob), paragraph(WORDS.askAgainWhy), asked.body],
    main: {
      says: WORDS.writeDown,
      press() {
        if (!checked(asked.all) || !asked.agree()) return;
        app.act(
          ...inputs
            .filter(({ id }) => answers.get(id) !== had.get(id))
            .filter((input) => isAsked(input, knownBy(answers, app.list), app.list))
            .map(({ id }) =>
              had.has(id)
                ? { type: "correct", event: entries.get(id).event.seq, ...answers.get(id), reason: WORDS.askAgainWhy }
                : { type: "answer", input: id, ...answers.get(id) },
            ),
        );
      },
    },
  };
};
