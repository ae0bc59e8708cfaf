// The grammar for editors, read by the engine that editors read it with (vscode-textmate, with the regular expressions of Oniguruma), against
// the tokens that the compiler itself sees in every demo and library: a word of the language is coloured as one, a name never
// is, and texts, prose, comments, numbers, units and signs are what they are.
//
// The compiler's tokens are written by `cargo test --test all colours::`, beside the program in the build's folder.
const fs = require("fs");
const path = require("path");
const oniguruma = require("vscode-oniguruma");
const { Registry, parseRawGrammar, INITIAL } = require("vscode-textmate");

const top = path.join(__dirname, "..", "..");
const program = process.env.FITWRIGHT ?? path.join(process.env.CARGO_TARGET_DIR ?? path.join(top, "target"), "debug", "fitwright");
const tokens = JSON.parse(fs.readFileSync(path.join(path.dirname(program), "..", "tmp", "tokens.json"), "utf8"));

const starts = (...scopes) => (all) => all.some((scope) => scopes.some((first) => scope.startsWith(first)));
const word = starts("keyword.other.fitwright", "keyword.control", "keyword.operator.word", "storage.");
const inText = starts("string.quoted");
const free = (all) => !starts("comment", "string.quoted", "string.unquoted.prose")(all);
// For each kind of token, which scopes are right.
const right = {
  keyword: (all) => word(all) && free(all),
  "new name": (all) => starts("entity.name", "variable", "constant.other")(all) && free(all),
  name: (all) => starts("variable", "constant.other")(all) && free(all),
  text: inText,
  number: starts("constant.numeric"),
  unit: starts("keyword.other.unit"),
  operator: starts("keyword.operator"),
  mark: starts("punctuation"),
  value: free,
  comment: starts("comment.line"),
  prose: (all) => starts("string.unquoted.prose", "punctuation.definition.quote")(all),
};

async function main() {
  const wasm = fs.readFileSync(path.join(path.dirname(require.resolve("vscode-oniguruma/package.json")), "release", "onig.wasm"));
  await oniguruma.loadWASM(wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.byteLength));
  const file = path.join(top, "grammar", "fitwright.tmLanguage.json");
  const registry = new Registry({
    onigLib: Promise.resolve({ createOnigScanner: (sources) => new oniguruma.OnigScanner(sources), createOnigString: (text) => new oniguruma.OnigString(text) }),
    loadGrammar: async () => parseRawGrammar(fs.readFileSync(file, "utf8"), file),
  });
  const grammar = await registry.loadGrammar("source.fitwright");
  const counts = {};
  const faults = [];
  for (const one of tokens) {
    const lines = fs.readFileSync(path.join(top, one.file), "utf8").split("\n");
    let state = INITIAL;
    const scopesOf = lines.map((line) => {
      const read = grammar.tokenizeLine(line, state);
      state = read.ruleStack;
      return (column) => read.tokens.find((token) => token.startIndex <= column && column < token.endIndex)?.scopes ?? [];
    });
    for (const [line, column, length, kind] of one.tokens) {
      counts[kind] = (counts[kind] ?? 0) + 1;
      // All of a text, prose line and comment; of other tokens the first sign, since blanks may stand in some.
      const all = ["text", "prose", "comment"].includes(kind);
      const places = all ? [...Array(length).keys()] : [0];
      const wrong = places.find((at) => !right[kind](scopesOf[line](column + at)));
      if (wrong !== undefined)
        faults.push(`${one.file}:${line + 1}:${column + wrong + 1}: ${kind} \`${lines[line].slice(column, column + length)}\` is ${scopesOf[line](column + wrong).slice(1).join(" ") || "nothing"}`);
    }
  }
  const few = Object.keys(right).filter((kind) => !(counts[kind] > 20));
  if (few.length) faults.push(`too few tokens to tell: ${few.join(", ")}`);
  console.log(Object.entries(counts).map(([kind, count]) => `${count} ${kind}`).join(", "));
  if (faults.length) {
    console.log(faults.slice(0, Number(process.env.FITWRIGHT_FAULTS ?? 40)).join("\n"));
    console.log(`${faults.length} tokens have another colour than the compiler says`);
    process.exit(1);
  }
}

main();
