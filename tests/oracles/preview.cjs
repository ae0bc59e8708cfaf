// The writer's page in a browser: a file is edited on disk, the finding appears in the words of the command line, the manual
// changes and keeps its place; a fitting is chosen by keyboard; axe at three widths, light and dark; a page of another origin learns nothing.
const fs = require("fs");
const http = require("http");
const os = require("os");
const path = require("path");
const { spawn, spawnSync } = require("child_process");
const axe = require("axe-core");
const { browser } = require("./_samples.cjs");

const folder = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-preview-"));
const file = path.join(folder, "kestrel-rack.fitw");
const text = fs.readFileSync("procedures/kestrel-rack.fitw", "utf8");
fs.cpSync("procedures/figures", path.join(folder, "figures"), { recursive: true });
fs.writeFileSync(file, text);

const faults = [];
const wrong = (said) => { faults.push(said); console.log(said); };
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

// Looks at the page as it stands. The manual in its frame has a check of its own (pages_axe.cjs).
async function looks(page, name) {
  for (const width of [1280, 800, 390]) {
    await page.setViewportSize({ width, height: 900 });
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    if (wide > 0) wrong(`${name}: ${wide} px wider than ${width}`);
    for (const colorScheme of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme });
      await page.waitForTimeout(120);
      if (process.env.PREVIEW_SHOTS) await page.screenshot({ path: path.join(process.env.PREVIEW_SHOTS, `${name}-${width}-${colorScheme}.png`) });
      const { violations } = await page.evaluate((runOnly) => axe.run({ exclude: [["iframe"]] }, { runOnly }), RULES);
      for (const v of violations) wrong(`${name} at ${width} px, ${colorScheme}: ${v.id}: ${v.help}: ${v.nodes[0].html.slice(0, 120)}`);
    }
  }
  await page.emulateMedia({ colorScheme: "light" });
  await page.setViewportSize({ width: 1280, height: 900 });
}

// The manual that stands in the page, not one that is coming.
const manual = (page) => page.frameLocator("iframe:not(.coming)");
const comes = (page, status) => page.waitForFunction((wanted) => new RegExp(wanted).test(document.getElementById("status").textContent), status, { timeout: 60000 });

(async () => {
  const preview = spawn(process.env.FITWRIGHT, ["preview", file]);
  process.on("exit", () => { preview.kill(); fs.rmSync(folder, { recursive: true, force: true }); });
  const address = await new Promise((done, fail) => {
    preview.stdout.on("data", (said) => done(/http:\S+/.exec(String(said))[0]));
    preview.on("exit", (code) => fail(new Error(`the preview ended with ${code}`)));
  });
  const open = await browser();
  const page = await (await open.newContext({ bypassCSP: false, viewport: { width: 1280, height: 900 } })).newPage();
  page.on("request", (r) => r.url().startsWith(address) || /^data:/.test(r.url()) || wrong(`asks for ${r.url()}`));
  page.on("pageerror", (e) => wrong(`script error: ${e.message}`));
  page.on("console", (m) => m.type() === "error" && !/status of 409/.test(m.text()) && wrong(`console: ${m.text()}`));
  await page.goto(address);
  await comes(page, "^No findings$");
  await manual(page).locator("h1").waitFor();
  // What axe needs runs past the policy of the page.
  const cdp = await page.context().newCDPSession(page);
  await cdp.send("Runtime.evaluate", { expression: axe.source });
  await looks(page, "clean");

  // A place in the middle of the manual is kept over a save that changes what stands above it.
  const view = () => page.frames().find((frame) => /manual\.html/.test(frame.url()));
  const step = () => view().evaluate(() => {
    const steps = [...document.querySelectorAll("article.step")];
    return steps.find((one) => one.getBoundingClientRect().bottom > 0).id;
  });
  await view().evaluate(() => document.querySelectorAll("article.step")[9].scrollIntoView());
  const before = await step();
  const longer = text.replace("> Set one [rail-bracket] over", "> Take a breath, and look at the rail once more.\n    > Set one [rail-bracket] over");
  if (longer === text) throw new Error("the demo has no such line any more");
  fs.writeFileSync(file, longer);
  await manual(page).getByText("Take a breath").first().waitFor({ timeout: 60000 });
  await page.waitForTimeout(300);
  if (await step() !== before) wrong(`the place is lost: ${before}, then ${await step()}`);

  // An error: the finding comes, the same words as in a terminal, and the manual is marked as older.
  const bad = longer.replace(/torque +[\d.]+ N\.m \+- /, (found) => found.replace(/[\d.]+ N/, "400 N"));
  if (bad === longer) throw new Error("the demo has no torque any more");
  fs.writeFileSync(file, bad);
  await comes(page, "error.*(?<!…)$");
  const check = spawnSync(process.env.FITWRIGHT, ["check", file], { encoding: "utf8" }).stdout;
  const flat = (words) => words.replace(/\s+/g, " ");
  const messages = await page.locator("#findings li").evaluateAll((items) => items.map((one) => ({
    sort: one.querySelector(".sort").textContent, message: one.querySelector("h3").lastChild.textContent,
    told: [...one.querySelectorAll("dd")].map((dd) => dd.textContent),
  })));
  if (!messages.length) wrong("no finding is shown");
  for (const { sort, message, told } of messages)
    for (const words of [`${sort} ${message}`, ...told]) if (!flat(check).includes(flat(words).trim())) wrong(`the terminal does not say: ${words}`);
  const order = messages.map(({ sort }) => ["error", "warning", "note"].indexOf(sort.split(" ")[0]));
  if (order.join() !== [...order].sort().join()) wrong(`not the gravest first: ${order}`);
  if (!/older than the text/.test(await page.locator("#age").innerText())) wrong("the older manual is not marked");
  if (!await manual(page).getByText("Take a breath").count()) wrong("the last good manual is gone");
  await looks(page, "error");

  // What is read in the list of findings stays in sight over a save that leaves it.
  const scroll = () => page.locator(".found").evaluate((found) => found.scrollTop);
  await page.locator(".found").evaluate((found) => { found.scrollTop = 300; });
  fs.writeFileSync(file, bad.replace("Take a breath, and", "Take a breath and"));
  await comes(page, "Reading|proving");
  await comes(page, "error.*(?<!…)$");
  if (await page.locator("#findings.old").count()) wrong("what is new is shown as old");
  if (await scroll() !== 300) wrong(`the list of findings is at ${await scroll()}, and was at 300`);

  // A word that is no word: told at once, as long as it stands.
  fs.writeFileSync(file, longer.replace("tighten bracket-joint", "tightne bracket-joint"));
  await page.waitForFunction(() => /tightne/.test(document.getElementById("findings").textContent), undefined, { timeout: 60000 });
  fs.writeFileSync(file, longer);
  await comes(page, "^No findings$");
  if (await page.locator("#findings li").count()) wrong("a finding stands longer than its text");
  if (await page.locator("#age").innerText()) wrong("the manual is still marked as older");

  // A fitting, by keyboard alone.
  await page.locator("#fitting select").first().focus();
  await page.keyboard.type("powered");
  await page.keyboard.press("Tab");
  await page.waitForFunction(() => /with=arm%3Dpowered/.test(document.querySelector("iframe:not(.coming)")?.src ?? ""), undefined, { timeout: 60000 });
  const out = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-preview-out-"));
  const built = (...more) => spawnSync(process.env.FITWRIGHT, ["build", "--annex", "--out", out, ...more, file], { encoding: "utf8" });
  built("--with", "arm=powered");
  const served = async (name) => Buffer.from(await (await fetch(`${address}out/${name}?with=arm%3Dpowered`)).arrayBuffer());
  for (const name of fs.readdirSync(path.join(out, "kestrel-rack--arm-powered")))
    if (!(await served(name)).equals(fs.readFileSync(path.join(out, "kestrel-rack--arm-powered", name)))) wrong(`${name} is not that of the build`);

  // A combination that the rules exclude is refused in the words of the command line.
  await page.locator("#fitting select").nth(1).focus();
  await page.keyboard.type("road");
  await page.keyboard.press("Tab");
  await page.waitForFunction(() => document.getElementById("refusal").textContent, undefined, { timeout: 60000 });
  const refused = built("--with", "arm=powered", "--with", "side=road");
  const said = await page.locator("#refusal").textContent();
  if (refused.status !== 2 || flat(refused.stderr).trim() !== `fitwright: ${flat(said)}`) wrong(`refused as "${said}", in the terminal ${refused.stderr}`);
  await looks(page, "refused");
  // An amount is typed; what is no amount is refused too.
  await page.locator("#fitting button").click();
  await page.locator("#fitting input").first().focus();
  await page.keyboard.type("heavy");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => /heavy/.test(document.getElementById("refusal").textContent), undefined, { timeout: 60000 });
  await page.locator("#fitting input").first().fill("150 kg");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => /150/.test(document.querySelector("iframe:not(.coming)")?.src ?? ""), undefined, { timeout: 60000 });
  await page.locator("#fitting button").focus();
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => /manual\.html$/.test(document.querySelector("iframe:not(.coming)")?.src ?? ""), undefined, { timeout: 60000 });
  if (await page.locator("#refusal").innerText()) wrong("the refusal stays");
  fs.rmSync(out, { recursive: true, force: true });

  // The job page runs from here too.
  const job = await page.context().newPage();
  job.on("pageerror", (e) => wrong(`job page: ${e.message}`));
  job.on("console", (m) => m.type() === "error" && wrong(`job page: ${m.text()}`));
  await job.goto(`${address}out/job.html`);
  await job.locator("#name").waitFor({ timeout: 10000 });
  await job.close();

  // A page of another origin on this machine: it may neither ask, nor frame, nor lead here.
  const strange = http.createServer((_, answer) => { answer.setHeader("Content-Type", "text/html"); answer.end(`<a href="${address}">go</a><iframe src="${address}"></iframe>`); });
  await new Promise((done) => strange.listen(0, "127.0.0.1", done));
  const other = await (await open.newContext()).newPage();
  const statuses = [];
  other.on("response", (r) => r.url().startsWith(address) && statuses.push(r.status()));
  await other.goto(`http://localhost:${strange.address().port}/`);
  const learnt = await other.evaluate((to) => fetch(`${to}state`).then((r) => r.text(), () => "nothing"), address);
  await other.click("a");
  await other.waitForLoadState();
  if (learnt !== "nothing") wrong("another origin reads the state");
  if (statuses.length < 2 || statuses.some((status) => status !== 403)) wrong(`another origin is answered ${statuses}`);
  strange.closeAllConnections?.();
  strange.close();

  // When the preview ends, the page says so and shows nothing as current.
  preview.removeAllListeners("exit");
  preview.kill();
  page.removeAllListeners("console");
  await comes(page, "has ended");
  await open.close();
  console.log(`${faults.length} faults`);
  process.exit(faults.length ? 1 : 0);
})().catch((error) => { console.log(error); process.exit(1); });
