// The views at the ends of a job: stopped, handed over, closed, stuck.

import { h, button, heading, paragraph, quiet, strong, sentence } from "./dom.js";
import WORDS from "./words.js";
import { prose } from "./prose.js";
import { row, decidedBy, isThere, notRight, whys } from "./parts.js";
import { rolesOf } from "./walk.js";
import { signing } from "./sign.js";
import { slipRows } from "./slip.js";
import { recordView } from "./side.js";

const leaveAs = (app, states) => {
  const there = states.filter(({ state }) => isThere(app, app.list.states.get(state)));
  return (
    there.length > 0 && [
      paragraph(`${WORDS.handover.leaveWith}:`),
      h(
        "ul",
        there.map((state) => h("li", strong(app.wording.state(state)))),
      ),
    ]
  );
};

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

// The record is saved first; the large button leads on to the next job when it is.
export const closedView = (app) => {
  const {
    body: [, report],
    more: [save, print],
  } = recordView(app);
  const next = { says: WORDS.newJob, press: app.leave };
  return {
    body: [
      heading(`${WORDS.report.title}: ${WORDS.outcomes[app.job.closed.outcome]}`),
      h("p.screen", WORDS.closedLead),
      report,
    ],
    ...(app.ui.saved
      ? { more: [save, print], main: next }
      : { more: [print, button(next.says, next.press)], main: { says: WORDS.saveRecord, press: app.saveRecord } }),
  };
};

export const stuckView = (app) => ({
  body: [heading(WORDS.stuck), paragraph(WORDS.stuckWhy)],
  main: { says: WORDS.breakOff, press: app.breakOff },
});
