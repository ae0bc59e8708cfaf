// The views before the job, and at its ends.

import {
  h,
  fill,
  button,
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
} from "./dom.js";
import WORDS from "./words.js";
import { prose } from "./prose.js";
import {
  row,
  items,
  limitWords,
  choices,
  tickable,
  faultBox,
  decidedBy,
  notRight,
  whys,
  madeFor,
  inputsOf,
} from "./parts.js";
import { numberEntry } from "./number.js";
import { typedReading } from "./entry.js";
import { evaluate, untrue, base } from "./conditions.js";
import { rolesOf } from "./walk.js";
import { signing } from "./sign.js";
import { slipRows } from "./slip.js";
import { stepsAhead } from "./progress.js";

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
        [WORDS.about.people, [[time.people, time.people_remark].filter(Boolean).join(". ")]],
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

// Options and givens, all on one page, because none of them changes the next question. `answers` maps inputs to values and gets what is
// said here; `before` are the answers that are to be replaced.
const questions = (app, inputs, answers, before = new Map()) => {
  const { list, wording, ui } = app;
  const said = h("div", { "aria-live": "polite" });
  const broken = () => {
    const known = new Map(
      answers.entries().map(([id, { choice, amount }]) => [id, { choice, base: amount && base(amount, list.units) }]),
    );
    return list.rules.filter((rule) => untrue(rule, known, list.units));
  };
  const answer = (id, value) => {
    answers.set(id, value);
    fill(said, contradiction(broken()));
  };
  const all = inputs.map((input) => {
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
  });
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
            list.asked.map((input) => ({ type: "answer", input: input.id, ...answers.get(input.id) })),
          );
      },
    },
  };
};

// The options and givens that have no answer, or one that this revision of the procedure does not take. Only a job that was
// begun under another revision has such.
export const unsettled = ({ list, record }) => {
  const { known } = record.job;
  const wrong = record.entries
    .filter(({ counts, event, faults }) => counts && event.type === "answer" && faults.length)
    .map(({ event }) => event.input);
  if (wrong.length)
    wrong.push(...list.rules.filter((rule) => untrue(rule, known, list.units)).flatMap((rule) => inputsOf(rule.holds)));
  return list.asked.filter(({ id }) => wrong.includes(id) || !known.has(id));
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

// What is laid out before the work: what this job cannot need, by its answers, is left out, and what it may not need has its
// condition beside it.
export const layOutView = (app) => {
  const { list, wording, job } = app;
  const ahead = stepsAhead(app).flatMap(({ step, sure }) => list.placesOf(step).map((place) => ({ place, sure })));
  const tools = list.lay_out
    .map((one) => {
      const places = ahead.filter(({ place }) => place.some((id) => one.any_of.includes(id)));
      const sure = !one.when || places.some(({ place, sure }) => sure && place.length === one.any_of.length);
      return (
        (sure || places.length > 0) && [
          wording.tool(one),
          remark(one.optional && [WORDS.tell.without, one.benefit].filter(Boolean).join("; "), !sure && one.when_words),
          detail([one.detail]),
        ]
      );
    })
    .filter(Boolean);
  const ticks = (title, things) =>
    h(
      "ul",
      things.map((thing, i) => h("li", tickable(app, `lay ${title} ${i}`, thing))),
    );
  const groups = list.kit.map((group) => {
    const holds = !group.when || evaluate(group.when, job.known, list.units);
    return (
      holds !== false &&
      row(
        group.title,
        !holds && paragraph(remark(false, group.when_words)),
        ticks(
          group.title,
          summed(list, group.entries).map((entry) => partRow(app, entry)),
        ),
      )
    );
  });
  const there = [...list.joints.values()]
    .filter((joint) => joint.on_vehicle)
    .flatMap(({ each, count }) => each.map((one) => ({ ...one, count: (one.count ?? 1) * count })));
  const vehicle = summed(list, [...(list.vehicle ?? []), ...there]);
  const throughout = [...list.protection.values()].filter((one) => one.throughout).map((one) => one.title);
  const sometimes = (list.wear ?? []).filter(
    (one) => !one.throughout && (!one.needed_if || evaluate(one.needed_if, job.known, list.units) !== false),
  );
  const worn = sometimes.map((one) => [
    wording.named("protection", one.protection),
    remark(
      sentence(one.steps.length > 1 ? WORDS.word.inSteps : WORDS.word.inStep, {
        numbers: one.steps.map((id) => list.stepsById.get(id)?.number).join(", "),
      }),
      one.when_words,
    ),
  ]);
  return {
    body: [
      heading(WORDS.layOut),
      whys(app, job.opening),
      h(
        "div.rows.lay",
        madeFor(list),
        throughout.length && row(WORDS.wearAll, ticks(WORDS.wearAll, throughout)),
        worn.length && row(WORDS.row.wear, ticks(WORDS.row.wear, worn)),
        tools.length && row(WORDS.row.use, ticks(WORDS.row.use, tools)),
        groups,
        vehicle.length && row(WORDS.about.onVehicle, items(vehicle.map((entry) => partRow(app, entry)))),
        list.states.size &&
          row(
            WORDS.startState,
            items([...list.states.values()].map((state) => wording.state({ state: state.id, value: state.starts }))),
          ),
      ),
    ],
    through: true,
    main: { says: WORDS.layOutDone, press: app.begin },
  };
};

// Parts that are told by the same words stand on one line.
const summed = ({ parts }, entries) => {
  const lines = new Map();
  for (const entry of entries) {
    const { title, detail } = parts.get(entry.part) ?? {};
    const key = title ? `${title} ${detail} ${!entry.count}` : entry.part;
    lines.set(key, { ...entry, count: entry.count && entry.count + (lines.get(key)?.count ?? 0) });
  }
  return [...lines.values()];
};

// A part of the kit or of the vehicle, with its mass and its maker's number.
const partRow = ({ list, wording }, entry) => {
  const { detail: text, mass, number } = list.parts.get(entry.part) ?? {};
  return [
    wording.part(entry),
    detail([
      [
        text,
        mass && `${mass.shown}${entry.count === 1 ? "" : ` ${WORDS.tell.each}`}`,
        number && sentence(WORDS.tell.makersNumber, { number }),
      ]
        .filter(Boolean)
        .join("; "),
    ]),
  ];
};

const detail = (some) => some.some(Boolean) && h("span.with", " ", some.filter(Boolean).join(` ${WORDS.word.or} `));
const remark = (without, when) =>
  (without || when) && soft(` (${[without, when && sentence(WORDS.onlyFor, { when })].filter(Boolean).join("; ")})`);

const leaveAs = ({ wording }, states) =>
  states.length && [
    paragraph(`${WORDS.handover.leaveWith}:`),
    h(
      "ul",
      states.map((state) => h("li", strong(wording.state(state)))),
    ),
  ];

export const stopView = (app) => {
  const { now, job } = app;
  const { limit, stop, check } = now;
  const states = (limit || stop).leave_as ?? [];
  return {
    body: [
      h("h1.unseen", { tabindex: -1 }, WORDS.check.stop),
      check ? notRight(app, check) : stop && whys(app, job.path.at(-1)?.log || job.opening),
      h(
        "div.stop",
        { role: "alert" },
        h("p.word", WORDS.check.stop.toUpperCase()),
        h(
          "div.text",
          limit && h("div.reason", paragraph(limit.title, ": ", limit.words), decidedBy(app, [limit.holds])),
          h("p.what", stop?.text ?? limit.stop ?? WORDS.stopLead),
          job.path.length > 0 && leaveAs(app, states),
        ),
      ),
    ],
    side: [h("div.rows", slipRows(app)), quiet(WORDS.wrongReading)],
    through: true,
    main: {
      says: WORDS.closeRecord,
      press: () => app.act({ type: "close", outcome: "stopped", at_stop: (limit || stop).id }),
    },
  };
};

export const handoverView = (app) => {
  const {
    now: {
      handover,
      roles: [role],
    },
    job,
  } = app;
  const lines = handover.lines
    .filter((line) => line.kind !== "sign")
    .map((line) => (line.kind === "text" ? prose(line.prose) : row(WORDS.handover[line.kind], line.text)));
  const signs = (who) => sentence(WORDS.handover.signAs, { role: who });
  const sign = role && signing(app, handover, role);
  return {
    body: [
      heading(WORDS.handover.title),
      whys(app, job.path.at(-1)?.log || []),
      h("div.say", leaveAs(app, handover.leave_as)),
      h(
        "div.rows",
        lines,
        rolesOf(handover)
          .filter((who) => job.signed.has(who))
          .map((who) => row(signs(who), strong(job.signed.get(who).name))),
      ),
    ],
    side: sign?.body,
    through: true,
    main: sign?.main ?? { says: WORDS.closeRecord, press: () => app.act({ type: "close", outcome: "handed-over" }) },
  };
};

export const stuckView = (app) => ({
  body: [heading(WORDS.stuck), paragraph(WORDS.stuckWhy)],
  main: { says: WORDS.breakOff, press: app.breakOff },
});
