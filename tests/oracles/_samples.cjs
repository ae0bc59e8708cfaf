// The folders of outputs that the checks look at: the demo procedures, whole and tailored, and those of tests/emit with every kind of line
// and with hostile text, built here.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync } = require("child_process");

exports.folders = function folders() {
  const out = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-samples-"));
  process.on("exit", () => fs.rmSync(out, { recursive: true, force: true }));
  const sources = fs.readdirSync("tests/emit").filter((name) => name.endsWith(".fitw"));
  const paths = sources.map((name) => path.join("tests/emit", name));
  execFileSync(process.env.FITWRIGHT, ["build", "--out", out, ...paths], { stdio: ["ignore", "ignore", "pipe"] });
  const below = (folder) => fs.readdirSync(folder).map((name) => path.join(folder, name));
  const found = [...below(process.env.FITWRIGHT_OUT), ...below(out)].filter((folder) =>
    fs.existsSync(path.join(folder, "manual.html")));
  if (found.length < sources.length + 3) throw new Error(`only ${found.length} folders of outputs`);
  return found;
};

// Every page of every folder.
exports.pages = () =>
  exports.folders().flatMap((folder) =>
    fs.readdirSync(folder).filter((name) => name.endsWith(".html")).sort().map((name) => path.join(folder, name)));

// Debian's browser; none is downloaded.
exports.browser = () =>
  require("playwright-core").chromium.launch({
    executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"],
  });
