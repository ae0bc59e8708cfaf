// A second client, made of the libraries that graphical editors are built on (_protocol.cjs tells which, and how strictly every
// message is looked at), writes procedures with the language server: findings, completion, hover, names in several files, repairs,
// the form of the text. Where the answer can be had another way it is: by a search for whole words, by the inch of 25.4 mm
// (international yard and pound agreement, 1959), by `fitwright check` and `fitwright format` as a person runs them.
// The story is told twice: to an editor that counts in UTF-16 only, and to one that offers UTF-8 first and came to the folder by a
// link. Its name has letters that a URI may spell in two ways. The answers must be the same, and in the editor's own names of files.
const assert = require("assert");
const fs = require("fs");
const os = require("os");
const path = require("path");
const { spawnSync } = require("child_process");
const { fileURLToPath, pathToFileURL } = require("url");
const { Editor, protocol: p, shapeFaults, linesOf } = require("./_protocol.cjs");

const program = process.env.FITWRIGHT;
const scratch = fs.mkdtempSync(path.join(os.tmpdir(), "editor-"));
process.on("exit", () => fs.rmSync(scratch, { recursive: true, force: true }));
const faults = [];
const wire = [];
const wide = "Ø12 ±0,5 µm 🔩";

// Where a word stands alone, as a line and a character.
const wordsIn = (text, word) => linesOf(text).flatMap((line, at) =>
  [...line.matchAll(new RegExp(`(?<![\\w/-])${word}(?![\\w-])`, "g"))].map((found) => `${at}:${found.index}`));
const placed = (ranges) => ranges.map(({ start }) => `${start.line}:${start.character}`);
const run = (...words) => spawnSync(program, words, { encoding: "utf8" });
const cleanOnDisk = (file) => {
  const { status, stdout, stderr } = run("check", "--deny", "warnings", "--project", path.dirname(file), file);
  assert.equal(status, 0, `${file}: ${stdout}${stderr}`);
};
// A range holds another.
const holds = (outer, inner) => {
  const before = (one, two) => one.line < two.line || (one.line === two.line && one.character <= two.character);
  return before(outer.start, inner.start) && before(inner.end, outer.end);
};

async function story(offered, wanted, byLink) {
  const folder = path.join(scratch, "Kestrel Ø (1+1) & co");
  const there = byLink ? path.join(scratch, "elsewhere") : folder;
  fs.rmSync(folder, { recursive: true, force: true });
  fs.mkdirSync(there);
  if (byLink) fs.symlinkSync(there, folder);
  fs.cpSync("procedures/kestrel-rack.fitw", path.join(folder, "kestrel-rack.fitw"));
  for (const name of ["figures", "family"]) fs.cpSync(path.join("procedures", name), path.join(folder, name), { recursive: true });
  const named = (...parts) => pathToFileURL(path.join(folder, ...parts)).href;
  const rack = named("kestrel-rack.fitw");
  const answers = {};
  const editor = new Editor(program, faults, wire);
  const ask = async (type, uri, more) => editor.ask(type, uri, more);
  const at = (uri, piece, into) => ({ position: editor.place(uri, piece, into) });
  // A check by itself: what goes wrong in it is told, and the story goes on.
  const look = async (what, check) => {
    try {
      answers[what] = await check();
    } catch (error) {
      faults.push(`${wanted}, ${what}: ${error.stack.split("\n").slice(0, 12).join("\n    ")}`);
    }
  };
  const becomes = async (uri, text) => {
    await editor.change(uri, text);
    return editor.findings(uri);
  };
  const swapped = (uri, piece, by) => {
    const text = editor.textOf(uri);
    assert.equal(text.split(piece).length, 2, `not once in the text: ${piece}`);
    return text.replace(piece, () => by);
  };

  await look("the beginning", async () => {
    const early = await editor.connection.sendRequest(p.HoverRequest.type, { textDocument: { uri: rack }, position: { line: 0, character: 0 } }).catch((error) => error);
    assert.equal(early.code, p.ErrorCodes.ServerNotInitialized);
    const said = await editor.greet(pathToFileURL(folder).href, offered);
    assert.equal(said.capabilities.positionEncoding, wanted);
    assert.equal(said.serverInfo.version, /[\d.]+/.exec(run("--version").stdout)[0]);
    await editor.until("the wish to hear of files", () => editor.registered.length > 0);
    assert.equal(editor.registered[0].method, p.DidChangeWatchedFilesNotification.method);
    const legend = said.capabilities.semanticTokensProvider.legend;
    legend.tokenTypes.forEach((type) => assert(Object.values(p.SemanticTokenTypes).includes(type), type));
    legend.tokenModifiers.forEach((modifier) => assert(Object.values(p.SemanticTokenModifiers).includes(modifier), modifier));
    const unknown = await editor.connection.sendRequest("textDocument/moniker", { textDocument: { uri: rack }, position: { line: 0, character: 0 } }).catch((error) => error);
    assert.equal(unknown.code, p.ErrorCodes.MethodNotFound);
  });

  await editor.open(rack);
  const clean = editor.textOf(rack);
  await look("a clean procedure", async () => assert.deepEqual(await editor.findings(rack), []));

  await look("a name misspelt", async () => {
    const found = await becomes(rack, swapped(rack, "> Set one [rail-bracket] over", `> Set one, ${wide}, [rail-brackett] over`));
    const told = found.filter(({ code }) => code === "FW0201");
    assert.deepEqual(told.map(({ range }) => editor.pieceAt(rack, range)), ["[rail-brackett]"]);
    assert.equal(told[0].severity, p.DiagnosticSeverity.Error);
    return found;
  });
  // A joint that nobody tightens: it takes a proof to know, and the steps of its case are places.
  await look("a fault on the way", async () => {
    const found = await becomes(rack, clean.replace("    tighten hinge-joint with 2 spanner-13, hold with socket-13\n", ""));
    assert(found.length > 0, "nothing is found");
    const places = found.flatMap(({ relatedInformation }) => relatedInformation ?? []);
    assert(places.length > 0, "no places belong to it");
    for (const { location, message } of places) {
      assert.equal(location.uri, rack);
      assert(editor.pieceAt(rack, location.range).trim(), `an empty place: ${message}`);
    }
    const steps = places.filter(({ message }) => /^step \d/.test(message));
    assert(steps.length > 0, "no step of the case is a place");
    // `step 3 Title` leads to where a step of this title stands.
    for (const { location, message } of steps) {
      const [line] = linesOf(editor.pieceAt(rack, { start: { line: location.range.start.line, character: 0 }, end: { line: location.range.start.line + 1, character: 0 } }));
      const title = message.replace(/^step \S+ /, "");
      assert(/^ *(step|check) /.test(line) && title.startsWith(/"([^"[]*)/.exec(line)[1]), `${message}: ${line}`);
    }
    return found;
  });
  await look("the fault undone", async () => assert.deepEqual(await becomes(rack, clean), []));
  // Typed faster than it is proved: what is told of a version is of that version, whichever are left out.
  await look("typed fast", async () => {
    const before = editor.told.length;
    const faulty = clean.replace("read   rail-width", "read   rail-widht");
    // Some states stand long enough to be read, some to be proved, some for neither.
    for (let n = 0; n < 24; n++) {
      await editor.change(rack, n % 2 ? clean : faulty);
      await new Promise((done) => setTimeout(done, (n * 35) % 280));
    }
    await editor.change(rack, clean);
    assert.deepEqual(await editor.findings(rack), []);
    const versions = [];
    for (const { uri, version, diagnostics } of editor.told.slice(before)) {
      if (uri !== rack) continue;
      versions.push(version);
      const isFaulty = editor.states.get(`${rack} ${version}`) === faulty;
      assert.equal(diagnostics.some(({ code }) => code === "FW0201"), isFaulty, `version ${version} is told what another one has`);
    }
    assert.deepEqual(versions, [...versions].sort((one, two) => one - two), "an older version is told after a newer one");
  });

  // What a graphical editor shows of a list: items whose filter text has the letters typed since the range of their edit began.
  const completions = async (uri, piece) => {
    const { position } = at(uri, piece, piece.length);
    const { items } = await ask(p.CompletionRequest.type, uri, { position, context: { triggerKind: p.CompletionTriggerKind.Invoked } });
    assert.equal(new Set(items.map(({ label }) => label)).size, items.length, "a name is offered twice");
    for (const { label, filterText, textEdit: { range } } of items) {
      assert(range.start.line === position.line && range.end.line === position.line, `${label}: on another line`);
      assert(holds(range, { start: position, end: position }), `${label}: not around the place`);
      const typed = editor.pieceAt(uri, { start: range.start, end: position });
      let from = 0;
      for (const letter of typed) from = filterText.indexOf(letter, from) + 1 || assert.fail(`${label} is not what "${typed}" begins`);
    }
    return items.sort((one, two) => (one.sortText < two.sortText ? -1 : 1));
  };
  await look("completion of tools", async () => {
    await becomes(rack, swapped(rack, "    tighten bracket-joint with torque-wrench-40, socket-13, spanner-13\n    record", "    tighten bracket-joint with \n    record"));
    const items = await completions(rack, "    tighten bracket-joint with ");
    // Its torque is 22 N.m: the wrench of 8 N.m to 40 N.m shows it. Its heads are hexagons of 13 mm (ISO 4014).
    const first = items.filter(({ sortText }) => sortText[0] === items[0].sortText[0]).map(({ label }) => label);
    for (const tool of ["torque-wrench-40", "socket-13", "spanner-13"]) assert(first.includes(tool), `${tool} is not among the first: ${first.join(" ")}`);
    for (const tool of ["socket-17", "bit-t20"]) assert(!first.includes(tool) && items.some(({ label }) => label === tool), `${tool} is among the first, or missing`);
    assert(!items.some(({ label }) => /-joint$/.test(label)), "a joint is offered as a tool");
    const text = editor.edited(rack, [items.find(({ label }) => label === "torque-wrench-40").textEdit]);
    assert(text.includes("    tighten bracket-joint with torque-wrench-40\n"), "it is written elsewhere");
    const found = await becomes(rack, clean);
    assert.deepEqual(found, []);
    return items;
  });
  await look("completion behind wide characters", async () => {
    await editor.change(rack, swapped(rack, "> Set one [rail-bracket] over", `> Set one, ${wide}, [rail-br over`));
    const items = await completions(rack, `${wide}, [rail-br`);
    const bracket = items.find(({ label }) => label === "rail-bracket");
    assert(bracket, items.slice(0, 5).map(({ label }) => label).join(" "));
    const text = editor.edited(rack, [bracket.textEdit]);
    assert(new RegExp(`> Set one, ${wide}, \\[rail-bracket\\]? over`).test(text), linesOf(text).find((line) => line.includes(wide)));
    return items;
  });

  await look("hover", async () => {
    await becomes(rack, clean.replace("> Set one [rail-bracket] over", `> Set one, ${wide}, [rail-bracket] over`));
    const joint = await ask(p.HoverRequest.type, rack, at(rack, "tighten bracket-joint", 10));
    assert.equal(editor.pieceAt(rack, joint.range), "bracket-joint");
    assert.equal(joint.contents.kind, p.MarkupKind.Markdown);
    for (const piece of ["Rail bracket to roof rail", /\d\skN/, /22\sN·m/]) assert(joint.contents.value.match(piece), `${piece} is not in: ${joint.contents.value}`);
    // The proof load of M8, class 8.8, by ISO 898-1: 36.6 mm² at 580 MPa, 21.2 kN (values from memory).
    assert(joint.contents.value.replace(/\\/g, "").includes("21.2\u00a0kN"), joint.contents.value);
    const part = await ask(p.HoverRequest.type, rack, at(rack, `${wide}, [rail-bracket]`, wide.length + 5));
    assert.equal(editor.pieceAt(rack, part.range), "rail-bracket");
    assert.equal(await ask(p.HoverRequest.type, rack, at(rack, "\n\n")), null);
    // While it is proved again, nothing is told of what it was.
    const text = editor.textOf(rack);
    await editor.change(rack, text.replace("count   8\n  torque  22 N.m +- 2 N.m", "count   8\n  torque  21 N.m +- 2 N.m"));
    const newer = await ask(p.HoverRequest.type, rack, at(rack, "tighten bracket-joint", 10));
    assert(newer.contents.value.includes("torque  21 N.m") && !/22\sN·m/.test(newer.contents.value), newer.contents.value);
    await becomes(rack, text);
    return [joint, part];
  });

  await look("definition and references", async () => {
    const there = await ask(p.DefinitionRequest.type, rack, at(rack, "tighten bracket-joint", 10));
    assert.equal(there.uri, rack);
    assert.equal(editor.pieceAt(rack, there.range), "bracket-joint");
    assert.deepEqual(there.range.start, editor.place(rack, "joint bracket-joint", "joint ".length));
    const behind = await ask(p.DefinitionRequest.type, rack, at(rack, `${wide}, [rail-bracket]`, wide.length + 5));
    assert.deepEqual(behind.range.start, editor.place(rack, "part rail-bracket", "part ".length));
    const all = async (includeDeclaration) => ask(p.ReferencesRequest.type, rack, { ...at(rack, "tighten bracket-joint", 10), context: { includeDeclaration } });
    const [every, others] = [await all(true), await all(false)];
    // Nothing but names is written so in this text.
    assert.deepEqual(placed(every.map(({ range }) => range)).sort(), wordsIn(editor.textOf(rack), "bracket-joint").sort());
    assert.equal(others.length, every.length - 1);
    const marked = await ask(p.DocumentHighlightRequest.type, rack, at(rack, "tighten bracket-joint", 10));
    assert.deepEqual(placed(marked.map(({ range }) => range)), placed(every.map(({ range }) => range)));
    return [there, behind, every];
  });

  await look("what can't be renamed", async () => {
    const tool = await editor.refusal(p.PrepareRenameRequest.type, rack, at(rack, "with socket-13 or", 6));
    assert.equal(tool.code, p.LSPErrorCodes.RequestFailed);
    assert(tool.message.includes("socket-13"), tool.message);
    const taken = await editor.refusal(p.RenameRequest.type, rack, { ...at(rack, "tighten bracket-joint", 10), newName: "arm-joint" });
    assert.equal(taken.code, p.LSPErrorCodes.RequestFailed);
    assert(/^FW\d{4} .*arm-joint/.test(taken.message), taken.message);
    const words = await editor.refusal(p.RenameRequest.type, rack, { ...at(rack, "tighten bracket-joint", 10), newName: "two words" });
    assert(words.message.includes("two words"), words.message);
    assert.equal(await ask(p.PrepareRenameRequest.type, rack, at(rack, "\n\n")), null);
    return [tool, taken, words];
  });

  const library = named("family", "lib", "rails.fitw");
  const members = ["kestrel-arm", "kestrel-awning", "kestrel-roof"].map((name) => named("family", `${name}.fitw`));
  const [arm] = members;
  await look("a name in several files", async () => {
    await editor.open(arm);
    assert.deepEqual(await editor.findings(arm), []);
    const there = await ask(p.DefinitionRequest.type, arm, at(arm, "4 rail-bolt", 2));
    assert.equal(fileURLToPath(there.uri), fileURLToPath(library));
    assert.equal(editor.pieceAt(there.uri, there.range), "rail-bolt");
    const before = await ask(p.PrepareRenameRequest.type, arm, at(arm, "4 rail-bolt", 2));
    assert.equal(editor.pieceAt(arm, before.range), "rail-bolt");
    assert.equal(before.placeholder, "rail-bolt");
    const edit = await ask(p.RenameRequest.type, arm, { ...at(arm, "4 rail-bolt", 2), newName: "roof-rail-bolt" });
    const files = Object.keys(edit.changes);
    assert.deepEqual(files.map((uri) => fileURLToPath(uri)).sort(), [library, ...members].map((uri) => fileURLToPath(uri)).sort());
    assert(files.includes(arm), "the text that is open is called otherwise than the editor calls it");
    for (const uri of files) {
      const text = editor.edited(uri, edit.changes[uri]);
      // A name is written nowhere in these texts but as a name, and nothing else may change.
      assert.equal(text, editor.textOf(uri).replace(/(?<![\w/-])rail-bolt(?![\w-])/g, "roof-rail-bolt"), uri);
      if (editor.texts.has(uri)) await editor.change(uri, text);
      fs.writeFileSync(fileURLToPath(uri), text);
    }
    await editor.connection.sendNotification(p.DidChangeWatchedFilesNotification.type, { changes: files.map((uri) => ({ uri, type: p.FileChangeType.Changed })) });
    members.forEach((uri) => cleanOnDisk(fileURLToPath(uri)));
    assert.deepEqual(await editor.findings(arm), []);
    return edit;
  });
  // A library that is open and not saved: its fault is told in it, of its version; and where it is used, until it is undone.
  await look("a library that is open", async () => {
    await editor.open(library);
    assert.deepEqual(await editor.findings(library), []);
    const text = editor.textOf(library);
    const faulty = text.replace("pattern in-turn", "pattern in-turns");
    const begun = editor.told.length;
    const last = (uri) => editor.told.filter((one) => fileURLToPath(one.uri) === fileURLToPath(uri)).at(-1);
    const codes = (uri) => last(uri).diagnostics.map(({ code }) => code);
    // Whoever uses it is checked again, too.
    const both = async () => {
      const before = editor.told.length;
      const found = await editor.findings(library);
      await editor.until("findings of what uses it", () => editor.told.slice(before).some(({ uri }) => uri === arm));
      await editor.findings(arm);
      return found;
    };
    for (const state of [faulty, text, faulty, text]) {
      await editor.change(library, state);
      const found = await both();
      assert.equal(found.length > 0, state === faulty, JSON.stringify(found));
    }
    assert.deepEqual([codes(library), codes(arm)], [[], []]);
    for (const { uri, version, diagnostics } of editor.told.slice(begun)) {
      if (fileURLToPath(uri) !== fileURLToPath(library)) continue;
      assert.equal(uri, library, "a text that is open goes by another name than the editor's");
      assert.equal(diagnostics.length > 0, editor.states.get(`${library} ${version}`) === faulty, `version ${version} is told what another one has`);
    }
    // Not saved: what is written above the names moves them, and the edits of a name are of the text as it stands.
    await editor.change(library, `# Ø 1\n# 🔩\n${text}`);
    await both();
    const there = await ask(p.DefinitionRequest.type, arm, at(arm, "4 roof-rail-bolt", 2));
    assert.equal(there.uri, library);
    assert.equal(editor.pieceAt(library, there.range), "roof-rail-bolt");
    const edit = await ask(p.RenameRequest.type, arm, { ...at(arm, "4 roof-rail-bolt", 2), newName: "rail-bolt" });
    const known = [arm, library].map((uri) => [uri, edit.changes[uri] && editor.edited(uri, edit.changes[uri])]);
    for (const [uri, made] of known) assert.equal(made, editor.textOf(uri).replace(/(?<![\w/-])roof-rail-bolt(?![\w-])/g, "rail-bolt"), uri);
    const everywhere = await editor.connection.sendRequest(p.WorkspaceSymbolRequest.type, { query: "roof-rail-bolt" });
    assert.deepEqual(everywhere.map(({ location }) => location.uri), [library]);
    await editor.change(library, text);
    await both();
    await editor.close(library);
    await ask(p.FoldingRangeRequest.type, arm);
    assert.deepEqual(codes(library), []);
  });
  await look("a file that is closed", async () => {
    await becomes(arm, editor.textOf(arm).replace("[side-arm]", "[side-army]"));
    await editor.close(arm);
    await ask(p.FoldingRangeRequest.type, rack);
    assert.deepEqual(editor.told.filter(({ uri }) => uri === arm).at(-1).diagnostics, []);
  });

  await editor.change(rack, clean.replace("> Set one [rail-bracket] over", `> Set one, ${wide}, [rail-bracket] over`));
  await look("what the text holds", async () => {
    const text = editor.textOf(rack);
    const symbols = await ask(p.DocumentSymbolRequest.type, rack);
    const names = [];
    const walk = (list, within) => list.forEach(({ name, range, selectionRange, children = [] }) => {
      assert(holds(range, selectionRange), `${name}: its name is not in it`);
      assert(!within || holds(within, range), `${name}: not within what it stands in`);
      assert.equal(editor.pieceAt(rack, selectionRange), name);
      names.push(name);
      walk(children, range);
    });
    walk(symbols);
    const declared = linesOf(text).map((line) => /^ *(?:section|step|joint|circuit|given|measure|limit|figure) ([a-z][\w-]*) "/.exec(line)?.[1]).filter(Boolean);
    assert(declared.length > 40);
    // Of a figure and a step that shows it both have such lines; the list has what is declared.
    declared.forEach((name) => assert(names.includes(name), `${name} is not listed`));
    const everywhere = await editor.connection.sendRequest(p.WorkspaceSymbolRequest.type, { query: "bracket-joint" });
    assert(everywhere.some(({ name, location }) => name === "bracket-joint" && location.uri === rack), JSON.stringify(everywhere));
    return symbols;
  });
  await look("folding", async () => {
    const lines = linesOf(editor.textOf(rack));
    const folds = await ask(p.FoldingRangeRequest.type, rack);
    for (const { startLine, endLine } of folds) {
      assert(startLine < endLine && endLine < lines.length, `${startLine} to ${endLine}`);
      for (const other of folds) assert(!(startLine < other.startLine && other.startLine < endLine && endLine < other.endLine), `${startLine} and ${other.startLine} cross`);
    }
    // What a line opens at the left edge and closes there is one of them.
    const tops = lines.flatMap((line, start) => (/^[a-z].*\{$/.test(line) ? [[start, lines.indexOf("}", start)]] : []));
    assert(tops.length > 20);
    for (const [start, end] of tops) assert(folds.some(({ startLine, endLine }) => startLine === start && endLine === end), lines[start]);
    return folds;
  });
  await look("links", async () => {
    const links = await ask(p.DocumentLinkRequest.type, rack);
    const pictures = [...editor.textOf(rack).matchAll(/^figure .*?"(figures\/[^"]+)"/gm)].map(([, file]) => file);
    assert(pictures.length > 0);
    assert.deepEqual(links.map(({ target }) => fileURLToPath(target)), pictures.map((file) => path.join(folder, file)));
    links.forEach(({ range, target }) => assert(editor.pieceAt(rack, range).includes(path.basename(fileURLToPath(target)))));
    await editor.open(members[2]);
    const libraries = await ask(p.DocumentLinkRequest.type, members[2]);
    libraries.forEach(({ target }) => assert(fs.existsSync(fileURLToPath(target)), target));
    assert(libraries.some(({ target }) => fileURLToPath(target) === fileURLToPath(library)));
    return [links, libraries];
  });

  await look("a repair", async () => {
    await becomes(rack, swapped(rack, "read   rail-width", "read   rail-widht"));
    const found = await editor.findings(rack);
    const fault = found.find(({ code, range }) => code === "FW0201" && editor.pieceAt(rack, range) === "rail-widht");
    assert(fault, JSON.stringify(found));
    const actions = await ask(p.CodeActionRequest.type, rack, { range: fault.range, context: { diagnostics: [fault], only: [p.CodeActionKind.QuickFix], triggerKind: p.CodeActionTriggerKind.Invoked } });
    assert(actions.length > 0, "no repair is offered");
    assert(actions.every(({ kind }) => kind === p.CodeActionKind.QuickFix));
    assert.deepEqual(actions[0].diagnostics, [fault], "it repairs another finding");
    const text = editor.edited(rack, actions[0].edit.changes[rack]);
    assert.deepEqual(await becomes(rack, text), []);
    return actions;
  });
  await look("all safe repairs", async () => {
    await becomes(rack, editor.textOf(rack).replace("read   rail-width", "read   rail-widht"));
    const start = { line: 0, character: 0 };
    const of = async (only) => ask(p.CodeActionRequest.type, rack, { range: { start, end: start }, context: { diagnostics: [], only: [only] } });
    assert.deepEqual(await of(p.CodeActionKind.Refactor), []);
    const all = await of(p.CodeActionKind.Source);
    for (const { kind, edit } of all) {
      assert.equal(kind, p.CodeActionKind.SourceFixAll);
      editor.edited(rack, edit.changes[rack]);
    }
    await becomes(rack, editor.textOf(rack).replace("read   rail-widht", "read   rail-width"));
    return all;
  });

  await look("other units", async () => {
    const lines = linesOf(editor.textOf(rack));
    const whole = { start: { line: 0, character: 0 }, end: { line: lines.length - 1, character: lines.at(-1).length } };
    const hints = await ask(p.InlayHintRequest.type, rack, { range: whole });
    let measured = 0;
    for (const { position, label } of hints) {
      const before = lines[position.line].slice(0, position.character);
      assert(/[\w°Ω%³²·./]$/.test(before), `${label} stands behind ${before}`);
      const metric = /[^\d.,]([\d.]+) mm$/.exec(before);
      const inch = /^= (at least |at most )?(?:[\d.]+ to )?([\d.]+)\sin$/.exec(label);
      if (!metric || !inch) continue;
      measured += 1;
      const over = Number(inch[2]) - metric[1] / 25.4;
      const step = 10 ** -(inch[2].split(".")[1] ?? "").length;
      assert(Math.abs(over) <= step, `${metric[1]} mm ${label}`);
      // A bound is rounded to the safe side.
      assert(inch[1] === undefined || (inch[1] === "at least " ? over >= -1e-9 : over <= 1e-9), `${metric[1]} mm ${label}`);
    }
    assert(measured > 8, "few lengths are shown in inches");
    const { line } = editor.place(rack, "joint beam-joint");
    const some = await ask(p.InlayHintRequest.type, rack, { range: { start: { line, character: 0 }, end: { line: line + 9, character: 0 } } });
    assert.deepEqual(some, hints.filter(({ position }) => position.line >= line && (position.line < line + 9)));
    return hints;
  });
  await look("colours by meaning", async () => {
    const lines = linesOf(editor.textOf(rack));
    const { data } = await ask(p.SemanticTokensRequest.type, rack);
    const { tokenTypes, tokenModifiers } = editor.can.semanticTokensProvider.legend;
    assert.equal(data.length % 5, 0);
    const units = (piece) => (editor.encoding === "utf-8" ? Buffer.byteLength(piece) : piece.length);
    const cut = (line, from, to) => (editor.encoding === "utf-8" ? Buffer.from(line).subarray(from, to).toString() : line.slice(from, to));
    const tokens = [];
    let [line, character, end] = [0, 0, 0];
    for (let n = 0; n < data.length; n += 5) {
      const [down, along, length, type, modifiers] = data.slice(n, n + 5);
      if (down) [line, character, end] = [line + down, 0, 0];
      character += along;
      assert(character >= end, `line ${line + 1}: a piece begins within the one before`);
      assert(length > 0, `line ${line + 1}: an empty piece`);
      end = character + length;
      assert(line < lines.length && end <= units(lines[line]), `line ${line + 1}: a piece beyond its end`);
      assert(type < tokenTypes.length && modifiers < 1 << tokenModifiers.length, `line ${line + 1}: not in the legend`);
      tokens.push([line, cut(lines[line], character, end), tokenTypes[type]]);
    }
    const like = (type, form) => {
      const all = tokens.filter(([, , is]) => is === type);
      assert(all.length > 0, `no ${type}`);
      all.forEach(([at, piece]) => assert(form.test(piece), `line ${at + 1}: ${piece} is no ${type}`));
    };
    like("keyword", /^[a-z][a-z0-9-]*$/);
    like("string", /^"/);
    like("comment", /^#/);
    like("number", /^(\d|(one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)$)/);
    const bracket = tokens.find(([at, piece]) => lines[at].includes(wide) && piece === "rail-bracket");
    assert.equal(bracket?.[2], "property");
    return tokens;
  });

  const formatted = async (what, uri, text) => look(what, async () => {
    await editor.change(uri, text);
    const options = { tabSize: 2, insertSpaces: true };
    const edits = await ask(p.DocumentFormattingRequest.type, uri, { options });
    const set = spawnSync(program, ["format", "-"], { input: text, encoding: "utf8" });
    assert.equal(set.status, 0, set.stderr);
    const made = editor.edited(uri, edits);
    assert.equal(made, set.stdout);
    assert.notEqual(made, text);
    await editor.change(uri, made);
    assert.deepEqual(await ask(p.DocumentFormattingRequest.type, uri, { options }), []);
    return edits;
  });
  await formatted("the form of the text", rack, editor.textOf(rack).replace("    tighten bracket-joint with", "  tighten   bracket-joint    with").replace(/\n  step snug/, "\n\n\n\n      step snug"));
  await formatted("the form of a text with CRLF", rack, clean.replace("    tighten bracket-joint with", "  tighten bracket-joint     with").replace(/\n/g, "\r\n"));
  await formatted("the form of a text without an end of its last line", rack, clean.replace(/\n+$/, ""));
  await look("a text that can't be read has no form", async () => {
    await editor.change(rack, `${clean}\njoint {`);
    const why = await editor.refusal(p.DocumentFormattingRequest.type, rack, { options: { tabSize: 2, insertSpaces: true } });
    assert.equal(why.code, p.LSPErrorCodes.RequestFailed);
    assert(why.message);
    assert.deepEqual(await becomes(rack, clean), []);
    return why;
  });

  await look("the end", async () => {
    await editor.connection.sendRequest(p.ShutdownRequest.type);
    const late = await editor.connection.sendRequest(p.FoldingRangeRequest.type, { textDocument: { uri: rack } }).catch((error) => error);
    assert.equal(late.code, p.ErrorCodes.InvalidRequest);
    await editor.connection.sendNotification(p.ExitNotification.type);
    assert.equal(await editor.ended, 0);
    assert.equal(editor.log, "");
  });
  editor.connection.dispose();
  if (editor.child.exitCode === null) editor.child.kill();
  return answers;
}

(async () => {
  const position = { line: 0, character: 0 };
  const good = [[{ jsonrpc: "2.0", id: 1, result: { contents: { kind: "markdown", value: "x" }, range: { start: position, end: position } } }, "textDocument/hover"]];
  const told = { jsonrpc: "2.0", method: "textDocument/publishDiagnostics", params: { uri: "file:///x", diagnostics: [] } };
  const edit = { range: { start: position, end: position }, newText: "x" };
  // Left out, too much, not of the list, null for what is left out, a form that is another's.
  const bad = [
    [{ jsonrpc: "2.0", id: 1, result: { contents: { kind: "markdown" } } }, "textDocument/hover"],
    [{ jsonrpc: "2.0", id: 1, result: { contents: { kind: "markdown", value: "x" }, colour: "red" } }, "textDocument/hover"],
    [{ jsonrpc: "2.0", id: 1, result: { contents: { kind: "html", value: "x" } } }, "textDocument/hover"],
    [{ jsonrpc: "2.0", id: 1, result: { isIncomplete: false, items: [{ label: "x", kind: 26 }] } }, "textDocument/completion"],
    [{ jsonrpc: "2.0", id: 1, result: { changes: { "file:///x": [{ ...edit, kind: 1 }] } } }, "textDocument/rename"],
    [{ jsonrpc: "2.0", id: 1, result: [{ startLine: 1, endLine: null }] }, "textDocument/foldingRange"],
    [{ jsonrpc: "2.0", id: 1, result: null }, "no/suchMethod"],
    [{ id: 1, result: null }, "textDocument/hover"],
    [{ ...told, params: { ...told.params, version: null } }],
    [{ ...told, method: "textDocument/publishFindings" }],
  ];
  assert.deepEqual(shapeFaults([...good, [told]]), []);
  const refused = shapeFaults(bad);
  for (const [message] of bad) assert(refused.some((fault) => fault.includes(JSON.stringify(message))), `${JSON.stringify(message)} is accepted`);

  const first = await story(["utf-16"], "utf-16", false);
  const second = await story(["utf-8", "utf-16"], "utf-8", true);
  for (const what of Object.keys(first).filter((what) => what in second)) {
    try {
      assert.deepEqual(second[what], first[what]);
    } catch (error) {
      faults.push(`${what}: the second editor is answered something else: ${error.message.slice(0, 600)}`);
    }
  }
  // Who goes without a word has lost the server, or the server it.
  const rude = new Editor(program, faults, wire);
  await rude.greet(pathToFileURL(scratch).href, ["utf-16"]);
  await rude.connection.sendNotification(p.ExitNotification.type);
  if (await rude.ended !== 1) faults.push("an end without a shutdown is taken for a good one");
  rude.connection.dispose();

  faults.push(...shapeFaults(wire));
  [...new Set(faults)].forEach((fault) => console.log(fault));
  console.log(`${wire.length} messages, ${faults.length} faults`);
  process.exit(faults.length ? 1 : 0);
})().catch((error) => {
  faults.forEach((fault) => console.log(fault));
  console.log(error);
  process.exit(1);
});
