// Walks through the pages as a keeper would, in a real browser, on a fresh log.
//
//   node walk.mjs PATH-TO-BEDWRIGHT [--shots FOLDER]
//
// Each walk starts its own program on a free port with a log of its own. What
// is checked on every page: it fits the screen sideways, nothing is asked of
// another host, the console is clean, and there is one heading.

import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { mkdtempSync, mkdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

const [bedwright, ...rest] = process.argv.slice(2);
const shots = rest[0] === "--shots" ? rest[1] : null;
if (!bedwright) {
  console.error("say where the program is: node walk.mjs target/release/bedwright");
  process.exit(2);
}

const PHONE = { width: 360, height: 780 };
const DESK = { width: 1280, height: 900 };
const FLAGS = [
  "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync",
];

async function serve(folder) {
  const child = spawn(bedwright, ["--data", join(folder, "walk.db"), "serve", "--port", "0"], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  const address = await new Promise((found, failed) => {
    let said = "";
    child.stdout.on("data", (chunk) => {
      said += chunk;
      const match = said.match(/http:\/\/\S+/);
      if (match) found(match[0].replace(/\/$/, ""));
    });
    child.on("exit", (code) => failed(new Error(`the program ended with ${code}: ${said}`)));
  });
  return { address, stop: () => child.kill() };
}

/** One keeper with a browser of their own; complaints gathers what must not be. */
async function keeper(browser, address, viewport, script = true) {
  const context = await browser.newContext({ viewport, javaScriptEnabled: script, baseURL: address });
  const page = await context.newPage();
  const complaints = [];
  page.on("console", (m) => {
    if (["error", "warning"].includes(m.type()) && !/status of 4(22|03)/.test(m.text())) {
      complaints.push(`console: ${m.text()}`);
    }
  });
  page.on("pageerror", (e) => complaints.push(`script: ${e.message}`));
  page.on("request", (r) => {
    if (!r.url().startsWith(address) && !r.url().startsWith("data:")) complaints.push(`asked of ${r.url()}`);
  });
  return { page, context, complaints };
}

let shot = 0;
async function look(page, name) {
  const [h1, wide, view] = [
    await page.locator("h1").count(),
    await page.evaluate(() => document.documentElement.scrollWidth).catch(() => 0),
    page.viewportSize().width,
  ];
  assert.equal(h1, 1, `${name}: one heading, found ${h1}`);
  assert.ok(wide <= view, `${name}: ${wide} px wide on a ${view} px screen`);
  if (shots) {
    mkdirSync(shots, { recursive: true });
    shot += 1;
    await page.screenshot({
      path: join(shots, `${String(shot).padStart(2, "0")}-${name}-${view}.png`),
      fullPage: true,
    });
  }
}

const text = (page) => page.locator("main").innerText();

const walks = {
  "first look: an empty shelf offers the invented one, and every bin on it opens": async (browser, address) => {
    for (const viewport of [PHONE, DESK]) {
      const { page, complaints } = await keeper(browser, address, viewport);
      await page.goto("/");
      if (viewport === PHONE) {
        await look(page, "empty-shelf");
        await page.getByRole("button", { name: /demo shelf/i }).click();
        await page.goto("/");
      }
      await look(page, "shelf");
      const bins = page.locator("ul.shelf h2 a");
      assert.equal(await bins.count(), 4);
      const hrefs = await bins.evaluateAll((all) => all.map((a) => a.getAttribute("href")));
      for (const href of hrefs) {
        await page.goto(href);
        await look(page, `bin${href.replaceAll("/", "-")}`);
        assert.ok((await page.locator("svg[role=img]").count()) >= 1, `${href} has a picture`);
        await page.goto(`${href}/dose`);
        await look(page, `dose${href.replaceAll("/", "-")}`);
        await page.goto(`${href}/jar-test`);
        await look(page, `jar${href.replaceAll("/", "-")}`);
      }
      for (const door of ["/judge", "/tray-test", "/shed", "/shed?q=peat", "/shed/peat_sphagnum_unlimed", "/settings", "/bins/new"]) {
        await page.goto(door);
        await look(page, door.replaceAll(/[/?=]/g, "-").slice(1));
      }
      assert.deepEqual(complaints, []);
    }
  },

  "a bag of peat is judged before worms go in": async (browser, address) => {
    const { page, complaints } = await keeper(browser, address, PHONE);
    await page.goto("/judge");
    await page.locator("[name=material1]").fill("peat_sphagnum_unlimed");
    await page.locator("[name=amount1]").fill("60 L");
    await page.getByRole("button", { name: "Judge it" }).click();
    const said = await text(page);
    assert.match(said, /sour/i);
    assert.match(said, /10-litre bucket/);
    assert.match(said, /spoon/);
    assert.match(said, /\d+ days/);
    await look(page, "judged-peat");
    await page.goto("/judge?material1=peat_sphagnum_unlimed&amount1=plenty");
    assert.match(await text(page), /plenty/);
    await look(page, "judge-error");
    assert.deepEqual(complaints, []);
  },

  "own bin: described, filled, stocked, read, questioned, dosed, re-read": async (browser, address) => {
    const { page, complaints } = await keeper(browser, address, PHONE);
    await page.goto("/bins/new");
    await page.locator("[name=name]").fill("Back step");
    await page.locator("[name=length]").fill("60");
    await page.locator("[name=width]").fill("40");
    await page.locator("[name=depth]").fill("30");
    const show = (name) => page.locator(`[name=${name}]`).evaluate((field) => {
      for (let up = field; up; up = up.parentElement) if (up.tagName === "DETAILS") up.open = true;
    });
    await show("material1");
    await page.locator("[name=material1]").fill("peat_sphagnum_unlimed");
    await page.locator("[name=amount1]").fill("60 L");
    await show("grams");
    await page.locator("[name=grams]").fill("450");
    await page.locator("main form button[type=submit]").last().click();
    await page.waitForURL(/bins\/\d+/);
    const bin = new URL(page.url()).pathname.match(/\/bins\/\d+/)[0];
    await look(page, "own-bin-new");

    const enter = async (kind, fields) => {
      await page.goto(`${bin}?open=${kind}`);
      const form = page.locator("form", { has: page.locator(`input[name=kind][value=${kind}]`) });
      for (const [name, value] of Object.entries(fields)) {
        const field = form.locator(`[name=${name}]`).first();
        const tag = await field.evaluate((f) => f.tagName + (f.type ? `:${f.type}` : ""));
        if (tag.startsWith("SELECT")) await field.selectOption(value);
        else if (/radio|checkbox/.test(tag)) {
          await form.locator(`[name=${name}][value=${value}]`).check({ force: true });
        } else await field.fill(value);
      }
      await form.locator("button[type=submit]").last().click();
    };
    await enter("reading", { spots: "56", instrument: "cheap_pen" });
    assert.match(await page.locator("body").innerText(), /5\.6/, "56 is asked about");
    await look(page, "question-56");
    await enter("reading", { spots: "7.0 7.0", instrument: "two_metal_probe" });
    assert.match(await page.locator("body").innerText(), /7\.0/);
    await look(page, "question-idle");
    await enter("reading", { spots: "4.4 4.6 4.3", instrument: "cheap_pen" });
    await page.goto(bin);
    assert.match(await text(page), /acid/i);
    await look(page, "own-bin-acid");

    await page.goto(`${bin}/dose`);
    await look(page, "own-dose-empty-shed");
    await page.getByRole("button", { name: "I have garden lime" }).click();
    await page.goto(`${bin}/dose`);
    let said = await text(page);
    assert.match(said, /limestone/i, "the plan names the lime");
    assert.match(said, /If lower/i);
    await look(page, "own-dose");
    const before = await page.locator(".what-if-part").innerText();
    const slider = page.locator("input[name=amount][type=range]");
    const most = await slider.getAttribute("max");
    await slider.fill(most);
    await slider.dispatchEvent("input");
    await page.waitForFunction((old) => document.querySelector(".what-if-part").innerText !== old, before);
    await look(page, "own-dose-slid");

    await enter("dose", { material: "limestone_calcitic", amount: "2 tablespoons" });
    await enter("reading", { spots: "5.9 6.1", instrument: "cheap_pen" });
    if (/Keep it|as typed/i.test(await page.locator("body").innerText())) {
      const keep = page.getByRole("button", { name: /keep|it stands|yes/i });
      if (await keep.count()) await keep.first().click();
    }
    await page.goto(bin);
    said = await text(page);
    assert.match(said, /just after a dose|shows the place|again/i, "a reading after a dose is local");
    await look(page, "own-bin-after-dose");
    assert.deepEqual(complaints, []);
  },

  "the living bin: now, outlook, ration, away, weather, today": async (browser, address) => {
    const day = (n) => new Date(Date.now() + n * 864e5).toISOString().slice(0, 10);
    const spell = (days) => encodeURIComponent(days.map(([high, low]) => `${high}, ${low}`).join("\n"));
    const hot = spell([[31, 21], [36, 24], [39, 26], [34, 22]]);
    const cold = spell([[1, -6], [-4, -13], [-7, -16], [0, -8]]);
    for (const viewport of [PHONE, DESK]) {
      const { page, complaints } = await keeper(browser, address, viewport);
      await page.goto("/");
      if (viewport === PHONE) await page.getByRole("button", { name: /demo shelf/i }).click();
      await page.goto("/today");
      await look(page, "today");
      assert.match(await text(page), /Attic tub/);
      for (const bin of ["/bins/1", "/bins/2", "/bins/3", "/bins/4"]) {
        const name = bin.replaceAll("/", "-");
        await page.goto(bin);
        assert.match(await text(page), /Warmth in the middle/);
        await page.getByText(/^More figures/).click();
        assert.match(await text(page), /Warmth where worms sit/);
        for (const days of [14, 56, 182, 365]) {
          await page.goto(`${bin}/outlook?days=${days}`);
          await look(page, `outlook${name}-${days}`);
          assert.ok((await page.locator("svg[role=img]").count()) >= 8, `${bin}: charts`);
        }
        await page.goto(`${bin}/ration`);
        await look(page, `ration${name}`);
        assert.match(await text(page), /Feed \d|Do not feed yet/);
      }
      const away = `away_from=${day(5)}&away_to=${day(20)}`;
      await page.goto(`/bins/3/outlook?days=56&feed=2&place_celsius=12&bedding=coir_pith&bedding_amount=5+L&${away}&weather=${hot}`);
      assert.match(await text(page), /What if/);
      await look(page, "what-if");
      await page.goto("/bins/3/outlook?days=56&bedding=zork&bedding_amount=10&away_from=2020-01-01&weather=hot");
      assert.match(await text(page), /Look again/);
      const problems = page.locator(".problem[role=alert]");
      assert.match(await problems.innerText(), /could not be worked out/);
      const top = await problems.evaluate((box) => box.getBoundingClientRect().top + scrollY);
      assert.ok(top < page.viewportSize().height, "faults stand at the top");
      await problems.getByRole("link").first().click();
      // The way leads to the field.
      await page.waitForFunction(() => {
        const top = document.querySelector(location.hash)?.getBoundingClientRect().top;
        return top >= 0 && top < innerHeight;
      });
      await look(page, "what-if-wrong");
      await page.goto("/bins/3/ration?material=coffee_grounds&amount=900+g&next_visit=5");
      assert.match(await text(page), /That leaves/);
      await look(page, "ration-asked");
      await page.goto(`/bins/3/away?from=${day(4)}&to=${day(32)}`);
      assert.match(await text(page), /Be back by/);
      await look(page, "away");
      await page.goto("/bins/3/away?from=&to=");
      await look(page, "away-wrong");
      await page.goto(`/bins/3/weather?weather=${hot}&sun=part`);
      assert.match(await text(page), /What helps/);
      await look(page, "weather-hot");
      await page.goto(`/bins/2/weather?weather=${cold}`);
      await look(page, "weather-cold");
      await page.goto("/bins/3/weather?weather=38+24%0A99+abc");
      assert.match(await text(page), /line 2/i);
      await look(page, "weather-wrong");
      assert.deepEqual(complaints, []);
    }
  },

  "without script the same pages answer": async (browser, address) => {
    const { page, complaints } = await keeper(browser, address, PHONE, false);
    await page.goto("/judge?material1=coir_pith&amount1=20+L&material2=vermicompost&amount2=5+L");
    assert.match(await text(page), /pH/);
    await page.goto("/shed?q=lime");
    assert.match(await text(page), /lime/i);
    assert.deepEqual(complaints, []);
  },

  "other sites cannot write here": async (browser, address) => {
    const answer = await fetch(`${address}/demo`, {
      method: "POST",
      headers: { Origin: "http://elsewhere.example", "Content-Type": "application/x-www-form-urlencoded" },
    });
    assert.equal(answer.status, 403);
    const page = await fetch(`${address}/`);
    assert.match(page.headers.get("content-security-policy"), /default-src 'none'/);
  },
};

const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: FLAGS });
let failed = 0;
for (const [name, walk] of Object.entries(walks)) {
  const folder = mkdtempSync(join(tmpdir(), "bedwright-walk-"));
  const program = await serve(folder);
  try {
    await walk(browser, program.address);
    console.log(`ok    ${name}`);
  } catch (error) {
    failed += 1;
    console.log(`FAIL  ${name}\n      ${error.message}`);
  } finally {
    program.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}
await browser.close();
console.log(`\n${Object.keys(walks).length - failed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
