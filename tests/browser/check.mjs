// Opens reports and studies of shipped lines in a browser, with and without scripts, wide, narrow and on paper, and
// judges what people would see: no fault in the console, no request, nothing beyond the edge, every figure
// that of the JSON report of the same run, no serious fault of access.
//
//   node check.mjs [PROGRAM] [FOLDER FOR PICTURES]
//
// The browser is `chromium` of the system, or what CHROMIUM names.

import { execFileSync, spawnSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { createRequire } from "node:module";
import { chromium } from "playwright-core";

const here = dirname(fileURLToPath(import.meta.url));
const top = resolve(here, "../..");
const program = resolve(process.argv[2] ?? join(top, "target/debug/taktwright"));
const pictures = process.argv[3] && resolve(process.argv[3]);
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const LINES = ["pod-hall", "workboats", "heat-pumps"];
const RUN = ["--shifts", "5", "--replications", "4", "--gains", "2", "--reproducible", "--quiet"];
const LARGEST = 2_000_000;

/** Pages of studies: what is asked, and of which line. */
const FIRST = join(top, "scenarios/first.line");
const BRIEF = ["--shifts", "5", "--replications", "20", "--quiet"];
const STUDIES = {
  compare: ["compare", FIRST, ...BRIEF],
  sweep: ["compare", FIRST, ...BRIEF, "--vary", "slots before K2 0 to 2", "--vary", "slots before K3 0 to 1"],
  choice: ["compare", FIRST, ...BRIEF, "--choose-best", "--indifference", "0.2"],
  levers: ["levers", FIRST, ...BRIEF],
  losses: ["losses", FIRST, ...BRIEF],
  why: ["why", FIRST, "K2", ...BRIEF],
  ...Object.fromEntries(LINES.map((line) => [`balance-${line}`, ["balance", join(top, `scenarios/${line}.line`), "--quiet"]])),
};

let faults = [];
function fault(where, what) {
  faults.push(`${where}: ${what}`);
}

/** Runs a shipped line and writes its report. */
function report(line, format, path) {
  run(["simulate", join(top, `scenarios/${line}.line`), ...RUN], format, path);
}

/** Runs the program; a broken promise, or a choice that is left open, is no fault here. */
function run(asked, format, path) {
  const args = [...asked, "--format", format, "--output", path];
  const ran = spawnSync(program, args, { encoding: "utf8" });
  if (ran.status !== 0 && ran.status !== 1) {
    throw new Error(`${program} ${args.join(" ")}: status ${ran.status}\n${ran.stderr}`);
  }
}

/** What a JSON pointer (RFC 6901) leads to. */
function at(json, pointer) {
  const parts = pointer.split("/").slice(1).map((part) => part.replace(/~1/g, "/").replace(/~0/g, "~"));
  return parts.reduce((value, part) => (value === null || value === undefined ? undefined : value[part]), json);
}

/** Is the number that opens `shown` this value, or this share in percent, rounded as shown? */
function shows(shown, value) {
  const range = shown.match(/^(\d+) to (\d+)/);
  if (range) {
    return 100 * value >= Number(range[1]) - 0.5 && 100 * value <= Number(range[2]) + 0.5;
  }
  const number = shown.match(/^-?[\d,]+(\.\d+)?/);
  if (!number) return false;
  const read = Number(number[0].replaceAll(",", ""));
  const places = number[1] ? number[1].length - 1 : 0;
  const near = (x) => Math.abs(read - x) <= 0.5 * 10 ** -places + 1e-9 * Math.abs(x);
  return near(value) || near(100 * value);
}

function judgeFigures(where, figures, json, least) {
  if (figures.length < least) fault(where, `only ${figures.length} figures carry their source`);
  for (const { pointer, value, text } of figures) {
    let expected = at(json, pointer);
    if (expected !== null && typeof expected === "object") expected = expected.mean;
    if (typeof expected !== "number" || Number(value) !== expected) {
      fault(where, `${pointer} is ${expected} in the JSON report and ${value} on the page`);
    } else if (!shows(text, expected)) {
      fault(where, `${pointer} is ${expected}, and the page says "${text}"`);
    }
  }
}

/** What stands on the page, read inside the browser. */
function read() {
  const root = document.documentElement;
  const beyond = [...document.querySelectorAll("main *")].filter((element) => {
    const box = element.getBoundingClientRect();
    return box.right > root.clientWidth + 1 && !element.closest(".box, .rows, svg");
  });
  const headings = [...document.querySelectorAll("h1, h2, h3, h4")].map((h) => Number(h.tagName[1]));
  return {
    wide: root.scrollWidth - root.clientWidth,
    beyond: beyond.slice(0, 5).map((element) => `${element.tagName} ${element.className}`),
    figures: [...document.querySelectorAll("data[data-at]")].map((d) => ({
      pointer: d.dataset.at,
      value: d.value,
      text: d.textContent,
    })),
    said: document.querySelector(".said")?.textContent ?? "",
    skips: headings.some((level, k) => (k === 0 ? level !== 1 : level > headings[k - 1] + 1)),
    unnamed: [...document.querySelectorAll("svg[role=img]")].filter((svg) => !svg.querySelector("title")?.textContent).length,
    dead: [...document.querySelectorAll("a[href^='#']")].filter((a) => !document.getElementById(a.hash.slice(1))).length,
    lang: root.lang,
  };
}

async function judge(browser, file, line, json, { scripts, width, paper, shown = true, study = false }) {
  const where = `${line} at ${width} px, scripts ${scripts ? "on" : "off"}${paper ? ", on paper" : ""}`;
  const context = await browser.newContext({ javaScriptEnabled: scripts, viewport: { width, height: 900 } });
  const page = await context.newPage();
  if (width < 1000) await page.emulateMedia({ reducedMotion: "reduce" });
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) fault(where, `the console says: ${message.text()}`);
  });
  page.on("pageerror", (error) => fault(where, `a script failed: ${error.message}`));
  const address = pathToFileURL(file).href;
  page.on("request", (request) => {
    if (request.url() !== address) fault(where, `the page asks for ${request.url()}`);
  });
  if (paper) await page.emulateMedia({ media: "print", reducedMotion: "reduce" });
  await page.goto(address);
  // Narrow and on paper everything that folds stands open.
  if (width < 1000) await page.evaluate(() => document.querySelectorAll("details").forEach((d) => { d.open = true; }));
  const seen = await page.evaluate(read);
  if (seen.wide > 0 || seen.beyond.length > 0) {
    fault(where, `${seen.wide} px beyond the edge: ${seen.beyond.join("; ")}`);
  }
  if (seen.skips) fault(where, "headings skip a level");
  if (seen.unnamed) fault(where, `${seen.unnamed} drawings have no text`);
  if (seen.dead) fault(where, `${seen.dead} links lead nowhere`);
  if (!seen.lang) fault(where, "the page names no language");
  const opens = study ? seen.said.length > 20 : seen.said.startsWith("This line ");
  if (!opens) fault(where, `the page opens with "${seen.said}"`);
  judgeFigures(where, seen.figures, json, study ? 8 : 100);
  // The judge of access is a script itself; the page without scripts has the same elements.
  if (scripts && !paper) {
    await page.evaluate(axe);
    const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
    for (const rule of found.violations.filter((v) => ["serious", "critical"].includes(v.impact))) {
      fault(where, `axe: ${rule.id}, ${rule.help}: ${rule.nodes.slice(0, 3).map((n) => n.target).join("; ")}`);
    }
  }
  if (scripts && !paper && width > 1000) await judgeKeyboard(page, where, study ? "main" : "#stations");
  if (!paper && !study) await judgeReplay(page, where, json, scripts);
  if (pictures && shown) {
    const name = `${line}-${width}${scripts ? "" : "-plain"}${paper ? "-paper" : ""}`;
    await page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
  }
  await context.close();
}

/** The skip link is the first stop, and a column sorts from the keyboard. */
async function judgeKeyboard(page, where, sorts) {
  await page.keyboard.press("Tab");
  const first = await page.evaluate(() => document.activeElement?.className);
  if (first !== "skip") fault(where, `the first stop of the keyboard is "${first}", not the skip link`);
  const button = page.locator(`${sorts} th button`).first();
  await button.focus();
  await page.keyboard.press("Enter");
  const sorted = await page.evaluate((sorts) => {
    const head = document.querySelector(`${sorts} th[aria-sort]`);
    if (!head) return "no column is sorted";
    const rows = [...head.closest("table").querySelectorAll("tbody tr")];
    const values = rows.map((row) => row.cells[head.cellIndex].querySelector("data")).filter(Boolean).map((d) => Number(d.value));
    return values.every((value, k) => k === 0 || value <= values[k - 1]) ? "" : `not in order: ${values}`;
  }, sorts);
  if (sorted) fault(where, `sorting by keyboard: ${sorted}`);
}

/** A shift plays and stops from the keyboard, never by itself, and ends with the count of the JSON report. */
async function judgeReplay(page, where, json, scripts) {
  const wanted = json.line_measures.units_per_shift?.first_shift;
  const seen = () =>
    page.evaluate(() => {
      const replay = document.querySelector(".replay");
      const chips = [...replay.querySelectorAll(".unit")].filter((chip) => !chip.hidden);
      const boxes = chips.map((chip) => chip.getBoundingClientRect()).map((box) => `${box.left},${box.top}`);
      const stage = replay.querySelector(".stage").getBoundingClientRect();
      const outside = chips.filter((chip) => chip.getBoundingClientRect().right > stage.right + 1).length;
      return {
        at: replay.querySelector(".clock strong").textContent,
        done: Number(replay.querySelector(".done").textContent),
        button: replay.querySelector(".play").textContent,
        said: replay.querySelector(".status").textContent,
        shown: replay.checkVisibility(),
        chips: chips.length,
        doubled: boxes.length - new Set(boxes).size,
        outside,
      };
    });
  const told = await page.evaluate(() => document.querySelector(".hours tbody tr:last-child td")?.textContent);
  if (Number(told) !== wanted) fault(where, `the table by the hour ends with ${told}, the shift made ${wanted}`);
  if (!scripts) {
    if ((await seen()).shown) fault(where, "a replay without scripts is shown");
    return;
  }
  const pause = () => new Promise((resolve) => setTimeout(resolve, 300));
  const first = await seen();
  await pause();
  if ((await seen()).at !== first.at) fault(where, "the replay plays by itself");
  if (!first.shown || first.done !== 0) fault(where, `the replay begins with ${JSON.stringify(first)}`);
  await page.locator(".stage").focus();
  await page.keyboard.press(" ");
  await pause();
  const running = await seen();
  if (running.at === first.at || running.button !== "Stop") fault(where, "the space bar does not play");
  await page.keyboard.press(" ");
  const stopped = await seen();
  await pause();
  if ((await seen()).at !== stopped.at || stopped.button !== "Play") fault(where, "the space bar does not stop it");
  if (!stopped.said.startsWith("Stopped at ")) fault(where, `stopped, it says "${stopped.said}"`);
  await page.keyboard.press("ArrowRight");
  if ((await seen()).at === stopped.at) fault(where, "the arrow key does not go on");
  await page.keyboard.press("Home");
  for (let hour = 0; hour < 3; hour += 1) {
    await pause();
    const now = await seen();
    if (now.doubled > 0) fault(where, `${now.doubled} units stand on others at ${now.at}`);
    if (now.outside > 0) fault(where, `${now.outside} units stand beyond the edge at ${now.at}`);
    if (now.chips === 0 && hour > 0) fault(where, `no unit is on the line at ${now.at}`);
    for (let k = 0; k < 6; k += 1) await page.keyboard.press("Shift+ArrowRight");
  }
  await page.keyboard.press("End");
  const last = await seen();
  if (last.done !== wanted) fault(where, `the replay ends with ${last.done} units, the shift made ${wanted}`);
  await page.keyboard.press("Home");
  if ((await seen()).done !== 0) fault(where, "back at the start units are finished");
}

/** A page spoilt on purpose must be seen as such, or no verdict of this check is worth anything. */
async function provesItself(browser, file, line, json) {
  const spoilt = join(dirname(file), "spoilt.html");
  const wrong =
    "<p style='width:3000px;color:#e5e0d5;background:#fffdf9'>too wide, too pale</p><h2>two</h2><h4>skips a level</h4>" +
    "<svg role='img'></svg><a href='#nowhere'>dead</a><img src='x.png' alt='not whole'>" +
    "<data value='0.5' data-at='/replications'>0.5</data><script>throw new Error('spoilt')</script>";
  writeFileSync(spoilt, readFileSync(file, "utf8").replace("<nav ", `${wrong}<nav `));
  const before = faults;
  faults = [];
  await judge(browser, spoilt, line, json, { scripts: true, width: 400, paper: false, shown: false });
  const seen = faults.join("\n");
  faults = before;
  const wanted = ["beyond the edge", "skip a level", "have no text", "lead nowhere", "a script failed", "color-contrast",
    "/replications is", "the console says"];
  for (const kind of wanted.filter((kind) => !seen.includes(kind))) fault("a spoilt page", `not seen: ${kind}`);
}

const folder = mkdtempSync(join(tmpdir(), "taktwright-"));
if (pictures) mkdirSync(pictures, { recursive: true });
const executablePath = process.env.CHROMIUM ?? execFileSync("which", ["chromium"], { encoding: "utf8" }).trim();
if (!existsSync(program)) throw new Error(`no program at ${program}: cargo build`);
// No sandbox: the pages are our own and ask for nothing, and a container may not let one be made.
const browser = await chromium.launch({ executablePath, args: ["--no-sandbox"] });
try {
  for (const line of LINES) {
    const [file, data] = [join(folder, `${line}.html`), join(folder, `${line}.json`)];
    report(line, "html", file);
    report(line, "json", data);
    const size = statSync(file).size;
    if (size >= LARGEST) fault(line, `the page has ${size} bytes, the limit is ${LARGEST}`);
    const json = JSON.parse(readFileSync(data, "utf8"));
    for (const scripts of [true, false]) {
      for (const width of [1280, 400]) await judge(browser, file, line, json, { scripts, width, paper: false });
    }
    // A4 and Letter less their margins of 14 mm, at 96 px an inch.
    for (const width of [688, 710]) await judge(browser, file, line, json, { scripts: true, width, paper: true });
    if (line === LINES[0]) await provesItself(browser, file, line, json);
    process.stdout.write(`${line}: ${size} bytes, judged 6 times\n`);
  }
  for (const [name, asked] of Object.entries(STUDIES)) {
    const [file, data] = [join(folder, `${name}.html`), join(folder, `${name}.json`)];
    run(asked, "html", file);
    run(asked, "json", data);
    const json = JSON.parse(readFileSync(data, "utf8"));
    for (const [scripts, width] of [[true, 1280], [true, 400], [false, 400]]) {
      await judge(browser, file, name, json, { scripts, width, paper: false, study: true });
    }
    await judge(browser, file, name, json, { scripts: true, width: 688, paper: true, study: true });
    process.stdout.write(`${name}: ${statSync(file).size} bytes, judged 4 times\n`);
  }
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
if (faults.length > 0) {
  process.stderr.write(`${faults.slice(0, 60).join("\n")}\n${faults.length} faults in the browser\n`);
  process.exit(1);
}
process.stdout.write("no fault in the browser\n");
