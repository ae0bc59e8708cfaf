// What a page for the maker of a procedure is looked at with: faults that are counted and told, and the Nu HTML Checker.
const { spawnSync } = require("child_process");

let faults = 0;
exports.check = (so, what) => {
  if (!so) {
    faults++;
    console.log(what);
  }
};
exports.faults = () => faults;

exports.valid = (file) => {
  const jar = require.resolve("vnu-jar/build/dist/vnu.jar");
  const nu = spawnSync("java", ["-Xss4m", "-jar", jar, "--format", "json", "--exit-zero-always", "--stdout", file], { encoding: "utf8", maxBuffer: 1 << 26 });
  for (const m of JSON.parse(nu.stdout).messages) exports.check(m.type === "info" && m.message.includes("Content Security Policy"), `Nu: ${m.message} ${m.extract || ""}`);
};
