// Side views: the menu, undoing, what was done. Each is a page of its own, with a way back.

import { h, button, heading, paragraph, quiet, strong, textField } from "./dom.js";
import WORDS from "./words.js";
import { unitFields } from "./views.js";
import { madeFor } from "./parts.js";
import { undoable } from "./undo.js";
import { eventWords } from "./told.js";
import { doneList } from "./done.js";
import { recordReport } from "./report.js";

// Asks for one text, the reason where nothing else is asked, and hands it on. A text that is ready needs no other press.
export const textView = (
  app,
  { title, lead, ask, missing = ask ? WORDS.textMissing : WORDS.reasonMissing, says = title, press, ...more },
) => {
  const send = () => {
    const text = field.check();
    if (text) press(text);
  };
  const field = textField(app.ui, "reason", ask ?? WORDS.why, { missing, take: send, ...more });
  return { body: [heading(title), lead], side: h("div.ask", field.body), back: true, main: { says, press: send } };
};

export const undoView = (app) => {
  const entries = undoable(app);
  const said = entries.filter(({ event }) => event.type !== "begin");
  return textView(app, {
    title: WORDS.undo,
    lead: [
      paragraph(WORDS.undoWhat),
      h(
        "ul",
        said.map(({ now }) => h("li", strong(eventWords(app, now)))),
      ),
    ],
    ready: [WORDS.slip, WORDS.notFinished, WORDS.measuredAgain, WORDS.typedWrong],
    says: WORDS.undoNow,
    press: (reason) => app.act(...entries.map(({ event }) => ({ type: "withdraw", event: event.seq, reason }))),
  });
};

export const recordView = (app) => ({
  body: [heading(WORDS.report.title), recordReport(app)],
  back: !app.job.closed,
  more: [button(WORDS.saveRecord, app.saveRecord), button(WORDS.printRecord, () => print())],
});

const historyView = (app) => ({ body: [heading(WORDS.whatWasDone), doneList(app)], back: true });
const unitsView = (app) => ({ body: [heading(WORDS.setUnits), h("div.ask", unitFields(app))], back: true });

export const menuView = (app) => {
  const item = (label, press) => h("li", button(label, press));
  const go = (label, to) => item(label, () => app.go(to));
  const open = app.record && !app.job.closed;
  return {
    back: true,
    body: [
      heading(WORDS.menu),
      madeFor(app.list),
      h(
        "ul.choices",
        open && item(WORDS.saveSoFar, app.saveRecord),
        app.record && [go(WORDS.whatWasDone, { view: historyView }), go(WORDS.recordSoFar, { view: recordView })],
        go(WORDS.setUnits, { view: unitsView }),
        open && [
          go(WORDS.addNote, {
            view: textView,
            title: WORDS.addNote,
            ask: WORDS.report.remark,
            says: WORDS.writeDown,
            press: (text) => app.act({ type: "note", text }),
          }),
          go(WORDS.otherWorker, {
            view: textView,
            title: WORDS.otherWorker,
            ask: WORDS.otherName,
            says: WORDS.save,
            missing: WORDS.nameMissing,
            most: 200,
            press: app.worker,
          }),
          item(WORDS.breakOff, app.breakOff),
        ],
        app.record && item(WORDS.startOther, app.leave),
      ),
      quiet(WORDS.keysHelp),
    ],
  };
};
