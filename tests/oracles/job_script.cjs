// The script of the job page: `site/scripts/job.js` is what esbuild makes of the modules in `site/job`, byte for byte, and is
// smaller than 60 kB. After a change of the modules write it anew with `node tests/oracles/job_script.cjs --write`.
const fs = require("fs");
const path = require("path");
const esbuild = require("esbuild");

const kept = "site/scripts/job.js";
const MOST_BYTES = 60000;
const MOST_LINES = 400;

const { outputFiles, warnings } = esbuild.buildSync({
  entryPoints: ["site/job/main.js"],
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  charset: "utf8",
  lineLimit: 2000,
  legalComments: "none",
  write: false,
});
const script = outputFiles[0].text;
if (process.argv.includes("--write")) fs.writeFileSync(kept, script);

const faults = warnings.map((warning) => `${warning.location?.file}:${warning.location?.line} ${warning.text}`);
if (fs.readFileSync(kept, "utf8") !== script) faults.push(`${kept} is not what the modules make; write it anew with --write`);
const bytes = Buffer.byteLength(script);
if (bytes >= MOST_BYTES) faults.push(`the script has ${bytes} bytes, and ${MOST_BYTES} are too many`);
for (const name of fs.readdirSync("site/job").filter((one) => one.endsWith(".js"))) {
  const text = fs.readFileSync(path.join("site/job", name), "utf8");
  const lines = text.split("\n").length;
  if (lines > MOST_LINES) faults.push(`site/job/${name} has ${lines} lines`);
  if (/\beval\b|\bFunction\(|innerHTML|outerHTML|insertAdjacentHTML|document\.write|fetch\(|XMLHttpRequest|WebSocket|sendBeacon/.test(text))
    faults.push(`site/job/${name} could run text as a program, or ask a network`);
}
faults.forEach((fault) => console.log(fault));
console.log(`${bytes} bytes, ${faults.length} faults`);
process.exit(faults.length ? 1 : 0);
