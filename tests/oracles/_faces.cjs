// A machine that has one typeface and no other: a configuration of fontconfig with one folder and a cache of its own.
// The folders are those of Debian's packages fonts-dejavu-core, fonts-liberation and fonts-noto-core.
//
//     node tests/oracles/_faces.cjs FOLDER    writes FOLDER/DejaVu.conf and so on, for the variable FONTCONFIG_FILE
const fs = require("fs");
const path = require("path");

exports.FACES = ["DejaVu", "Liberation", "Noto"];

// Writes the configuration of a face into a folder, and gives its path.
exports.only = (face, folder) => {
  const fonts = `/usr/share/fonts/truetype/${face.toLowerCase()}`;
  if (!fs.existsSync(fonts)) throw new Error(`${fonts} is missing: the face ${face} is not installed`);
  const file = path.resolve(folder, `${face}.conf`);
  fs.mkdirSync(path.resolve(folder), { recursive: true });
  fs.writeFileSync(file, `<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig><dir>${fonts}</dir><cachedir>${path.resolve(folder, `${face}-cache`)}</cachedir></fontconfig>
`);
  return file;
};

// The letters of the face that the pages bring, by the table that the compiler measures with.
exports.letters = () => {
  const table = fs.readFileSync("src/emit/face/advances.rs", "utf8");
  const letters = new Set();
  for (const [, first, advances] of table.matchAll(/\(0x([0-9a-f]+), &\[([\d,\s]*)\]/g))
    advances.split(",").forEach((_, at) => letters.add(parseInt(first, 16) + at));
  if (letters.size < 300) throw new Error("the letters of the face were not found");
  return letters;
};

// Whether a page is to be looked at. With FITWRIGHT_LETTERS=of-the-machine only those are that have letters which our face lacks: all others are
// held by same_lines.cjs to have every word at the same place, and to print the same, whatever faces a machine has.
exports.wanted = async (page) => {
  if (process.env.FITWRIGHT_LETTERS !== "of-the-machine") return true;
  const known = exports.letters();
  const text = await page.evaluate(() => document.body.textContent);
  return [...text].some((letter) => letter.trim() && !known.has(letter.codePointAt(0)));
};

if (require.main === module) exports.FACES.forEach((face) => exports.only(face, process.argv[2]));
