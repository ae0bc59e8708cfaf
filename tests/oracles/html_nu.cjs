// Every page is valid HTML and CSS for the Nu HTML Checker (the checker of the W3C and the WHATWG, npm `vnu-jar`).
// A page with a fault is checked first, so that a checker that accepts everything does not pass.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { spawnSync } = require("child_process");
const { pages, jobs } = require("./_samples.cjs");

const jar = require.resolve("vnu-jar/build/dist/vnu.jar");

function check(files) {
  const run = spawnSync("java", ["-Xss4m", "-jar", jar, "--format", "json", "--exit-zero-always", "--stdout", ...files], {
    encoding: "utf8",
    maxBuffer: 1 << 26,
  });
  if (run.error || !run.stdout) throw new Error(`the checker did not run: ${run.error || run.stderr}`);
  return JSON.parse(run.stdout).messages;
}

const bad = path.join(os.tmpdir(), `fitwright-bad-${process.pid}.html`);
fs.writeFileSync(bad, "<!DOCTYPE html><title>x</title><p id=a><p id=a><blink>x</blink>");
const found = check([bad]);
fs.rmSync(bad);
if (!found.some((message) => message.type === "error")) throw new Error("the checker accepts a page with faults");

const files = [...pages(), ...jobs()];
// The checker also notes that the page's own policy lets no script run and that linked data is in a script element:
// both are meant, and a data block never runs. It takes embedded pictures for blocked, which browsers do not.
const meant = (m) => m.type === "info" && m.message.includes("Content Security Policy");
const messages = check(files).filter((m) => !meant(m));
for (const m of messages) console.log(`${m.type} ${m.url}:${m.lastLine} ${m.message}\n    ${m.extract || ""}`);
console.log(`${files.length} pages, ${messages.length} messages`);
process.exit(messages.length ? 1 : 0);
