// A client of the Language Server Protocol made of the libraries that graphical editors are built on: vscode-jsonrpc and
// vscode-languageserver-protocol (npm, the reference implementation of the protocol by those who publish it, in the version that
// is of 3.17) and vscode-languageserver-textdocument, which makes edits in a text.
//
// Every message on the wire, both ways, is held against the types of vscode-languageserver-protocol by TypeScript: what must be there
// is there, nothing is there that the protocol doesn't have, numbered and named kinds are of its lists. (The package brings the
// schema of the protocol's machine-readable model, but not the model, so the types made from it judge.) What no type says is looked at
// when a message comes in: numbers are whole and not negative, a range begins before it ends, a place is in its text and parts no character.
const fs = require("fs");
const path = require("path");
const { spawn } = require("child_process");
const { fileURLToPath } = require("url");
const ts = require("typescript");
const protocol = require("vscode-languageserver-protocol/node");
const { TextDocument } = require("vscode-languageserver-textdocument");

const api = path.join(path.dirname(require.resolve("vscode-languageserver-protocol/package.json")), "lib", "common", "api.js");
// What a message of a method holds. Where the protocol leaves several forms, the one that the client says it can do.
const shapes = `
import * as P from ${JSON.stringify(api)};
type All = typeof P;
type Sorts = { [K in keyof All as All[K] extends { method: infer M extends string; type: unknown } ? M : never]: All[K] extends { type: infer T } ? T : never };
type Result<T> = T extends P.ProtocolRequestType0<infer R, any, any, any> ? R : T extends P.ProtocolRequestType<any, infer R, any, any, any> ? R : never;
type Params<T> = T extends P.ProtocolRequestType<infer Q, any, any, any, any> ? Q : T extends P.ProtocolNotificationType<infer Q, any> ? Q : never;
interface Narrow {
  "initialize": { capabilities: P.ServerCapabilities<never>; serverInfo?: { name: string; version?: string } };
  "shutdown": null;
  "textDocument/completion": P.CompletionList | null;
  "textDocument/hover": { contents: P.MarkupContent; range?: P.Range } | null;
  "textDocument/definition": P.Location | null;
  "textDocument/prepareRename": { range: P.Range; placeholder: string } | null;
  "textDocument/rename": { changes: { [uri: string]: P.TextEdit[] } };
  "textDocument/documentSymbol": P.DocumentSymbol[] | null;
  "textDocument/codeAction": P.CodeAction[] | null;
  "workspace/symbol": P.SymbolInformation[] | null;
}
type AnswerOf<M extends string> = M extends keyof Narrow ? Narrow[M] : M extends keyof Sorts ? Result<Sorts[M]> : never;
export interface Answered<M extends string> { jsonrpc: "2.0"; id: number | string; result: AnswerOf<M> }
export interface Refused { jsonrpc: "2.0"; id: number | string | null; error: { code: number; message: string; data?: P.LSPAny } }
export interface Told<M extends keyof Sorts> { jsonrpc: "2.0"; method: M; params: Params<Sorts[M]> }
export interface Progress { jsonrpc: "2.0"; method: "$/progress"; params: { token: P.ProgressToken; value: P.WorkDoneProgressBegin | P.WorkDoneProgressReport | P.WorkDoneProgressEnd } }
export interface Asked<M extends keyof Sorts> { jsonrpc: "2.0"; id: number | string; method: M; params: Params<Sorts[M]> }
export interface Bare<M extends keyof Sorts> { jsonrpc: "2.0"; id?: number | string; method: M }
`;
const options = { strict: true, exactOptionalPropertyTypes: true, noEmit: true, skipLibCheck: true, types: [], module: ts.ModuleKind.Node16,
  moduleResolution: ts.ModuleResolutionKind.Node16, target: ts.ScriptTarget.ES2022 };

// The type of a message; `answers` names the method that it answers.
const typeOf = (message, answers) => {
  if (message.method === "$/progress") return "Progress";
  if ("method" in message) {
    const sort = message.params !== undefined ? ("id" in message ? "Asked" : "Told") : "Bare";
    return `${sort}<${JSON.stringify(message.method)}>`;
  }
  return "error" in message ? "Refused" : `Answered<${JSON.stringify(answers ?? "?")}>`;
};

// What TypeScript has against some [message, method that it answers].
function shapeFaults(messages) {
  const shapesAt = path.resolve("_shapes.ts");
  const file = path.resolve("_messages.ts");
  // Each message a line, each once: ids, and the numbers of proofs, differ only by who came first.
  const lines = [...new Set(messages.map(([message, answers]) => `const _: ${typeOf(message, answers)} = ${JSON.stringify(message)};`))];
  const text = `import type { Answered, Refused, Told, Asked, Bare, Progress } from "./_shapes.js";\n${lines.map((line) => `{ ${line} }`).join("\n")}\nexport {};\n`;
  const texts = new Map([[shapesAt, shapes], [file, text]]);
  const host = ts.createCompilerHost(options);
  const { readFile, fileExists, getSourceFile } = host;
  host.readFile = (name) => texts.get(path.resolve(name)) ?? readFile.call(host, name);
  host.fileExists = (name) => texts.has(path.resolve(name)) || fileExists.call(host, name);
  host.getSourceFile = (name, ...more) => texts.has(path.resolve(name))
    ? ts.createSourceFile(name, texts.get(path.resolve(name)), more[0]) : getSourceFile.call(host, name, ...more);
  return ts.getPreEmitDiagnostics(ts.createProgram([shapesAt, file], options, host)).map((one) => {
    const at = one.file && path.resolve(one.file.fileName) === file ? lines[one.file.getLineAndCharacterOfPosition(one.start).line - 1] : one.file?.fileName;
    const near = one.file ? one.file.text.slice(one.start, one.start + 80).split("\n")[0] : "";
    return `${ts.flattenDiagnosticMessageText(one.messageText, " ").slice(0, 400)}\n    at ${near}\n    in ${String(at).slice(0, 400)}`;
  });
}

const linesOf = (text) => text.split(/\r\n|\n|\r/);

// A place as the wire counts it, in UTF-16 as the library counts it, and back.
const places = {
  "utf-16": {
    read: (line, character) => {
      if (character > line.length) throw new Error(`unit ${character} of a line of ${line.length}`);
      if (character && /[\ud800-\udbff]/.test(line[character - 1])) throw new Error(`unit ${character} parts a character`);
      return character;
    },
    write: (line, character) => character,
  },
  "utf-8": {
    read: (line, character) => {
      const bytes = Buffer.from(line);
      if (character > bytes.length) throw new Error(`byte ${character} of a line of ${bytes.length}`);
      if ((bytes[character] & 0xc0) === 0x80) throw new Error(`byte ${character} parts a character`);
      return bytes.subarray(0, character).toString().length;
    },
    write: (line, character) => Buffer.byteLength(line.slice(0, character)),
  },
};

// A value of the protocol with every place in it made anew; `uri` is the text that a place is of where it doesn't say so itself.
function mapped(value, uri, make) {
  if (Array.isArray(value)) return value.map((one) => mapped(one, uri, make));
  if (value === null || typeof value !== "object") return value;
  if (typeof value.line === "number" && typeof value.character === "number") return make(value, uri);
  const own = typeof value.uri === "string" ? value.uri : uri;
  const result = {};
  for (const [key, one] of Object.entries(value)) {
    result[key] = key === "changes" && !Array.isArray(one)
      ? Object.fromEntries(Object.entries(one).map(([of, edits]) => [of, mapped(edits, of, make)])) : mapped(one, own, make);
  }
  if (result.start?.line !== undefined && result.end?.line !== undefined) {
    const { start, end } = result;
    if (start.line > end.line || (start.line === end.line && start.character > end.character)) throw new Error(`a range that ends before it begins: ${JSON.stringify(result)}`);
  }
  return result;
}

const capabilities = (positionEncodings) => {
  const upTo = (last) => Array.from({ length: last }, (_, at) => at + 1);
  const { SemanticTokenTypes, SemanticTokenModifiers } = protocol;
  return {
    general: { positionEncodings },
    window: { workDoneProgress: true },
    workspace: { didChangeWatchedFiles: { dynamicRegistration: true }, workspaceFolders: true, symbol: { symbolKind: { valueSet: upTo(26) } }, workspaceEdit: { documentChanges: true } },
    textDocument: {
      publishDiagnostics: { relatedInformation: true, versionSupport: true, tagSupport: { valueSet: [1, 2] } },
      completion: { contextSupport: true, completionItem: { documentationFormat: ["markdown", "plaintext"], insertReplaceSupport: true }, completionItemKind: { valueSet: upTo(25) } },
      hover: { contentFormat: ["markdown", "plaintext"] },
      definition: { linkSupport: false },
      documentSymbol: { hierarchicalDocumentSymbolSupport: true, symbolKind: { valueSet: upTo(26) } },
      rename: { prepareSupport: true },
      codeAction: { isPreferredSupport: true, codeActionLiteralSupport: { codeActionKind: { valueSet: ["", "quickfix", "refactor", "source", "source.fixAll"] } } },
      semanticTokens: { requests: { full: true }, tokenTypes: Object.values(SemanticTokenTypes), tokenModifiers: Object.values(SemanticTokenModifiers), formats: ["relative"], overlappingTokenSupport: false, multilineTokenSupport: false },
      foldingRange: { lineFoldingOnly: true }, inlayHint: {}, documentLink: {}, formatting: {}, references: {}, documentHighlight: {},
    },
  };
};

class Editor {
  // `faults` takes what is wrong, `wire` every message with the method that it answers.
  constructor(program, faults, wire) {
    this.fault = (text) => faults.push(text);
    this.encoding = "utf-16";
    this.texts = new Map(); // what stands open, by its name
    this.states = new Map(); // every state of it, by name and version
    this.told = []; // what was told of files, in order
    this.registered = [];
    this.running = new Set(); // proofs of which the server says that they run
    this.child = spawn(program, ["server"], { stdio: ["pipe", "pipe", "pipe"] });
    this.log = "";
    this.child.stderr.on("data", (data) => { this.log += data; });
    this.ended = new Promise((done) => this.child.on("exit", (code, signal) => done(code ?? signal)));
    const asked = new Map();
    const { StreamMessageReader, StreamMessageWriter } = protocol;
    class Reader extends StreamMessageReader {
      listen(hear) {
        return super.listen((message) => {
          wire.push([message, "method" in message ? undefined : asked.get(message.id)]);
          hear(message);
        });
      }
    }
    class Writer extends StreamMessageWriter {
      write(message) {
        if ("method" in message && message.id !== undefined) asked.set(message.id, message.method);
        // What the client answers is the library's own.
        if ("method" in message && methods.has(message.method)) wire.push([message]);
        return super.write(message);
      }
    }
    this.connection = protocol.createProtocolConnection(new Reader(this.child.stdout), new Writer(this.child.stdin));
    this.connection.onError((error) => this.fault(`the stream: ${JSON.stringify(error)}`));
    this.connection.onUnhandledNotification((message) => this.fault(`told unasked: ${message.method}`));
    this.connection.onNotification(protocol.PublishDiagnosticsNotification.type, (params) => this.hear(params));
    this.connection.onRequest(protocol.RegistrationRequest.type, (params) => { this.registered.push(...params.registrations); });
    this.connection.onRequest(protocol.WorkDoneProgressCreateRequest.type, ({ token }) => {
      this.connection.onProgress(protocol.WorkDoneProgress.type, token, ({ kind }) => {
        if (kind === "begin") this.running.add(token);
        if (kind === "end" && !this.running.delete(token)) this.fault(`progress ends that never began: ${token}`);
      });
    });
    this.connection.listen();
  }

  async greet(folder, offered) {
    const params = { processId: process.pid, clientInfo: { name: "outside check" }, rootUri: folder, capabilities: capabilities(offered), workspaceFolders: [{ uri: folder, name: "shop" }] };
    const said = await this.connection.sendRequest(protocol.InitializeRequest.type, params);
    this.can = said.capabilities;
    this.encoding = said.capabilities.positionEncoding ?? "utf-16";
    await this.connection.sendNotification(protocol.InitializedNotification.type, {});
    return said;
  }

  // A text as it stands here, or of an older state; what is not open stands on the disk.
  textOf(uri, version) {
    const state = version === undefined ? this.texts.get(uri)?.getText() : this.states.get(`${uri} ${version}`);
    return state ?? fs.readFileSync(fileURLToPath(uri), "utf8");
  }

  counted(value, uri, way, version) {
    const whole = (number) => {
      if (!Number.isInteger(number) || number < 0) throw new Error(`no whole number from 0: ${number}`);
    };
    return mapped(value, uri, (place, of) => {
      [place.line, place.character].forEach(whole);
      const lines = linesOf(this.textOf(of, of === uri ? version : undefined));
      if (place.line >= lines.length) throw new Error(`line ${place.line} of ${lines.length}: ${of}`);
      return { line: place.line, character: places[this.encoding][way](lines[place.line], place.character) };
    });
  }

  hear(params) {
    try {
      this.told.push(this.counted(params, params.uri, "read", params.version));
    } catch (error) {
      this.fault(`told of ${params.uri}: ${error.message}`);
    }
    const open = this.texts.get(params.uri);
    if (open && params.version === undefined) this.fault(`told of ${params.uri} without its version`);
    if (open && (params.version > open.version || params.version < (open.answered ?? 0))) this.fault(`told of version ${params.version} of ${params.uri}, which is at ${open.version}`);
  }

  async open(uri) {
    const text = this.textOf(uri);
    this.texts.set(uri, TextDocument.create(uri, "fitwright", 1, text));
    this.states.set(`${uri} 1`, text);
    await this.connection.sendNotification(protocol.DidOpenTextDocumentNotification.type, { textDocument: { uri, languageId: "fitwright", version: 1, text } });
  }

  async change(uri, text) {
    const open = this.texts.get(uri);
    TextDocument.update(open, [{ text }], open.version + 1);
    this.states.set(`${uri} ${open.version}`, text);
    await this.connection.sendNotification(protocol.DidChangeTextDocumentNotification.type, { textDocument: { uri, version: open.version }, contentChanges: [{ text }] });
  }

  async close(uri) {
    this.texts.delete(uri);
    await this.connection.sendNotification(protocol.DidCloseTextDocumentNotification.type, { textDocument: { uri } });
  }

  // Asks of a text; places go out and come in as the server counts them.
  async ask(type, uri, more = {}) {
    const open = this.texts.get(uri);
    const params = this.counted({ textDocument: { uri }, ...more }, uri, "write");
    const answer = await this.connection.sendRequest(type, params);
    // From here on nothing may be told of an older state.
    if (open) open.answered = open.version;
    return this.counted(answer, uri, "read");
  }

  // Why the server does not do it.
  async refusal(type, uri, more) {
    try {
      const answer = await this.ask(type, uri, more);
      this.fault(`${type.method} is answered where it should be refused: ${JSON.stringify(answer).slice(0, 200)}`);
      return { code: 0, message: "" };
    } catch (error) {
      return { code: error.code, message: error.message };
    }
  }

  async until(what, wanted) {
    for (const end = Date.now() + 60000; !wanted(); await new Promise((done) => setTimeout(done, 10))) {
      if (Date.now() > end) throw new Error(`not within a minute: ${what}${this.log && `; its log: ${this.log}`}`);
    }
  }

  // What is told of a text once its newest state is proved.
  async findings(uri) {
    const { version } = this.texts.get(uri);
    const last = () => this.told.filter((one) => one.uri === uri).at(-1);
    await this.until(`findings of version ${version} of ${uri}`, () => last()?.version === version);
    // What was sent with it is here once something else is answered.
    await this.ask(protocol.FoldingRangeRequest.type, uri);
    await this.until(`the end of the proof of ${uri}`, () => this.running.size === 0);
    return last().diagnostics;
  }

  // A text with the edits of an answer made by the library, which refuses edits that overlap.
  edited(uri, edits) {
    return TextDocument.applyEdits(TextDocument.create(uri, "fitwright", 0, this.textOf(uri)), edits);
  }

  pieceAt(uri, range) {
    return TextDocument.create(uri, "fitwright", 0, this.textOf(uri)).getText(range);
  }

  // Where a piece of a text stands, and `into` characters further.
  place(uri, piece, into = 0) {
    const text = this.textOf(uri);
    const offset = text.indexOf(piece);
    if (offset < 0) throw new Error(`not in the text: ${piece}`);
    return TextDocument.create(uri, "fitwright", 0, text).positionAt(offset + into);
  }
}

// The methods that the protocol has; others can be asked for, but have no type.
const methods = new Set(Object.values(protocol).map((one) => one?.type && one.method).filter(Boolean));

module.exports = { Editor, protocol, shapeFaults, linesOf };
