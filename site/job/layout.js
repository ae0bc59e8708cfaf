// What is laid out before the work: tools, parts, what is worn, and in which state everything starts.

import { h, heading, paragraph, soft, sentence, listed } from "./dom.js";
import WORDS from "./words.js";
import { row, items, isThere, tickable, whys, madeFor } from "./parts.js";
import { evaluate } from "./conditions.js";
import { stepsAhead } from "./progress.js";

// The tools that this job needs by its answers, and those that it may need, with their condition.
const toolsFor = (app) => {
  const { list, wording, job } = app;
  const ahead = stepsAhead(app).flatMap(({ step, sure }) => list.placesOf(step).map((place) => ({ place, sure })));
  return list.lay_out
    .filter((one) => !one.needed_if || evaluate(one.needed_if, job.known, list.units) !== false)
    .map((one) => {
      const places = ahead.filter(({ place }) => place.some((id) => one.any_of.includes(id)));
      const sure = !one.when || places.some(({ place, sure }) => sure && place.length === one.any_of.length);
      return (
        (sure || places.length > 0) && [
          wording.tool(one),
          remark(one.optional && listed([WORDS.tell.without, one.benefit], "; "), !sure && one.when_words),
          detail([one.detail]),
        ]
      );
    })
    .filter(Boolean);
};

// What is worn in some steps, and in which.
const wornFor = ({ list, wording, job }) =>
  (list.wear ?? [])
    .filter((one) => !one.throughout && (!one.needed_if || evaluate(one.needed_if, job.known, list.units) !== false))
    .map((one) => [
      wording.named("protection", one.protection),
      remark(
        sentence(one.steps.length > 1 ? WORDS.word.inSteps : WORDS.word.inStep, {
          // The copies of a step for several places have one number.
          numbers: [...new Set(one.steps.map((id) => list.stepsById.get(id)?.number))].join(", "),
        }),
        one.when_words,
      ),
    ]);

// The bags of the kit that this job may need.
const kitFor = (app) => {
  const { list, job } = app;
  return list.kit.map((group) => {
    const holds = !group.when || evaluate(group.when, job.known, list.units);
    return (
      holds !== false &&
      row(
        group.title,
        !holds && paragraph(remark(false, group.when_words)),
        ticks(
          app,
          group.title,
          summed(list, group.entries).map((entry) => partRow(app, entry)),
        ),
      )
    );
  });
};

// What is on the vehicle already; what only other fittings have is left out.
const vehicleParts = (app) => {
  const { list, job } = app;
  const holds = (entry) => (entry.when ? evaluate(entry.when, job.known, list.units) : true);
  const loose = (list.vehicle ?? [])
    .filter((entry) => holds(entry) !== false)
    .map(({ when_words: words, ...entry }) => ({ ...entry, only: holds(entry) ? undefined : words }));
  const there = [...list.joints.values()]
    .filter((joint) => joint.on_vehicle)
    .flatMap(({ each, count, uncounted }) =>
      each.map((one) => ({
        ...one,
        ...(uncounted ? { count: undefined, much: WORDS.tell.asMany } : { count: (one.count ?? 1) * count }),
      })),
    );
  return summed(list, [...loose, ...there]).map((entry) => partRow(app, entry));
};

const ticks = (app, title, things) =>
  h(
    "ul",
    things.map((thing, i) => h("li", tickable(app, `lay ${title} ${i}`, thing))),
  );

// What this job cannot need, by its answers, is left out, and what it may not need has its condition beside it.
export const layOutView = (app) => {
  const { list, wording, job } = app;
  const throughout = [...list.protection.values()].filter((one) => one.throughout).map((one) => one.title);
  const states = [...list.states.values()]
    .filter((state) => isThere(app, state))
    .map((state) => wording.state({ state: state.id, value: state.starts }));
  const toTick = (label, things) => things.length && row(label, ticks(app, label, things));
  const toSee = (label, things) => things.length && row(label, items(things));
  return {
    body: [
      heading(WORDS.layOut),
      whys(app, job.opening),
      h(
        "div.rows.lay",
        madeFor(list),
        toTick(WORDS.wearAll, throughout),
        toTick(WORDS.row.wear, wornFor(app)),
        toTick(WORDS.row.use, toolsFor(app)),
        kitFor(app),
        toSee(WORDS.about.onVehicle, vehicleParts(app)),
        toSee(WORDS.startState, states),
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
    const key = title
      ? `${title} ${detail} ${!entry.count} ${entry.much ?? ""} ${entry.only ?? ""} ${entry.or ?? ""}`
      : entry.part;
    // Amounts and ranges are not added up here: each stands by itself.
    const own = entry.much ? `${key} ${lines.size}` : key;
    lines.set(own, { ...entry, count: entry.count && entry.count + (lines.get(own)?.count ?? 0) });
  }
  return [...lines.values()];
};

// A part of the kit or of the vehicle, with its mass and its maker's number.
const partRow = ({ list, wording }, entry) => {
  const known = (id) => {
    const { detail: text, mass, number } = list.parts.get(id) ?? {};
    return listed(
      [
        text,
        mass && `${mass.shown}${entry.count === 1 ? "" : ` ${WORDS.tell.each}`}`,
        number && sentence(WORDS.tell.makersNumber, { number }),
      ],
      "; ",
    );
  };
  return [wording.part(entry), detail([entry.part, ...(entry.or ?? [])].map(known)), remark(false, entry.only)];
};

const detail = (some) => some.some(Boolean) && h("span.with", " ", listed(some, ` ${WORDS.word.or} `));
const remark = (without, when) =>
  (without || when) && soft(` (${listed([without, when && sentence(WORDS.onlyFor, { when })], "; ")})`);
