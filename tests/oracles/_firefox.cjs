// Debian's Firefox, over WebDriver BiDi, with as much of the driver of Chromium's pages as `_job.cjs` uses, so that both engines are driven
// by the same steps.
const fs = require("fs");
const os = require("os");
const path = require("path");
const puppeteer = require("puppeteer-core");

exports.firefox = async (more = {}) => {
  const downloads = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-firefox-"));
  process.on("exit", () => fs.rmSync(downloads, { recursive: true, force: true }));
  const browser = await puppeteer.launch({
    browser: "firefox",
    executablePath: process.env.FIREFOX || "/usr/bin/firefox-esr",
    headless: true,
    timeout: 120000,
    protocolTimeout: 180000,
    env: { ...process.env, ...more },
    extraPrefsFirefox: { "browser.download.folderList": 2, "browser.download.dir": downloads, "browser.download.alwaysOpenPanel": false },
  });
  return { browser, downloads };
};

const wait = (ms) => new Promise((done) => setTimeout(done, ms));

// An element by CSS, by `text=WORDS`, or by `CSS:text-is('WORDS')`; waits until it is there.
async function find(page, selector) {
  const [, css, words] = /^(.*?):text-is\('(.*)'\)$/.exec(selector) ?? [null, "button", /^text=(.*)$/.exec(selector)?.[1]];
  if (!words) return page.waitForSelector(selector, { timeout: 10000 });
  for (let i = 0; i < 50; i++) {
    for (const one of await page.$$(css)) if ((await one.evaluate((e) => e.textContent.trim())) === words) return one;
    await wait(100);
  }
  throw new Error(`no ${selector}`);
}

// A page that is pressed with a finger.
exports.wrapped = (page, downloads) => ({
  goto: (address) => page.goto(address),
  reload: () => page.reload(),
  evaluate: (...args) => page.evaluate(...args),
  waitForTimeout: wait,
  waitForFunction: (...args) => page.waitForFunction(...args),
  click: async (selector) => {
    const element = await find(page, selector);
    await element.evaluate((e) => e.scrollIntoView({ block: "center" }));
    await element.tap();
  },
  fill: async (selector, text) => {
    const element = await find(page, selector);
    await element.evaluate((e) => { e.focus(); e.select(); });
    await page.keyboard.press("Backspace");
    await page.keyboard.type(text);
  },
  setInputFiles: async (selector, file) => (await find(page, selector)).uploadFile(path.resolve(file)),
  locator: (selector) => {
    const one = {
      scrollIntoViewIfNeeded: async () => (await find(page, selector)).evaluate((e) => e.scrollIntoView({ block: "center" })),
      click: async () => (await find(page, selector)).tap(),
      innerText: async () => (await find(page, selector)).evaluate((e) => e.innerText),
      count: async () => (await page.$$(selector)).length,
    };
    return { ...one, first: () => one };
  },
  // Only downloads are waited for: a file that is new in the folder, and whole.
  waitForEvent: async () => {
    const before = new Set(fs.readdirSync(downloads));
    for (let i = 0; i < 100; i++) {
      await wait(100);
      const all = fs.readdirSync(downloads);
      const name = all.find((one) => !before.has(one) && !one.endsWith(".part") && fs.statSync(path.join(downloads, one)).size > 0);
      if (name && !all.some((one) => one.endsWith(".part")))
        return { suggestedFilename: () => name, saveAs: async (to) => fs.copyFileSync(path.join(downloads, name), to) };
    }
    throw new Error("no file was saved");
  },
});
