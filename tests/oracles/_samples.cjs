// The folders of outputs that the checks look at: the demo procedures, whole and tailored, and those of tests/emit with every kind of line
// and with hostile text, built here.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync, spawnSync } = require("child_process");

exports.folders = function folders() {
  const out = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-samples-"));
  process.on("exit", () => fs.rmSync(out, { recursive: true, force: true }));
  const sources = fs.readdirSync("tests/emit").filter((name) => name.endsWith(".fitw"));
  const paths = sources.map((name) => path.join("tests/emit", name));
  execFileSync(process.env.FITWRIGHT, ["build", "--annex", "--out", out, ...paths], { stdio: ["ignore", "ignore", "pipe"] });
  const below = (folder) => fs.readdirSync(folder).map((name) => path.join(folder, name));
  const found = [...below(process.env.FITWRIGHT_OUT), ...below(out)].filter((folder) =>
    fs.existsSync(path.join(folder, "manual.html")));
  if (found.length < sources.length + 3) throw new Error(`only ${found.length} folders of outputs`);
  return found;
};

// Summaries of records: of a good one with everything in it, of bad ones, of one full of markup.
function summaries() {
  const out = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-summaries-"));
  process.on("exit", () => fs.rmSync(out, { recursive: true, force: true }));
  return ["02-every-kind", "12-markup", "15-message-missing", "15-repairs-used-up", "15-torque-out-corrected"].map((name) => {
    const page = path.join(out, `${name}.html`);
    const vector = path.join("tests/conformance", name);
    const run = spawnSync(process.env.FITWRIGHT,
      ["record", "--summary", page, path.join(vector, "checklist.json"), path.join(vector, "record.jsonl")]);
    if (run.status === 2 || !fs.existsSync(page)) throw new Error(`no summary of ${name}: ${run.stderr}`);
    return page;
  });
}

// The page of a tally: of the demo's records, and of one that is left out.
exports.tallies = function tallies() {
  const out = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-tally-"));
  process.on("exit", () => fs.rmSync(out, { recursive: true, force: true }));
  const run = spawnSync(process.env.FITWRIGHT, ["tally", "--people", "--out", out, "procedures/records/checklist.json", "procedures/records",
    "tests/conformance/09-changed/record.jsonl"]);
  const page = path.join(out, "tally.html");
  if (run.status === 2 || !fs.existsSync(page)) throw new Error(`no page of a tally: ${run.stderr}`);
  return [page];
};

// Every page of every folder but the job page, which needs a hand to be seen; summaries of records, and a tally.
exports.pages = () => [
  ...exports.folders().flatMap((folder) =>
    fs.readdirSync(folder).filter((name) => name.endsWith(".html") && name !== "job.html").sort()
      .map((name) => path.join(folder, name))),
  ...summaries(),
  ...exports.tallies(),
];

exports.jobs = () => exports.folders().map((folder) => path.join(folder, "job.html"));

// Debian's browser; none is downloaded. `more` adds to its environment.
exports.browser = (more = {}) =>
  require("playwright-core").chromium.launch({
    executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
    env: { ...process.env, ...more },
    args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"],
  });
