// Drives the page as a beekeeper does and prints what it saw as JSON.
//   node ask.cjs PLAYWRIGHT CHROMIUM URL REPORT AXE SHOTS
// REPORT is the address of a plan written as a file, AXE is the file axe.min.js, SHOTS a folder for screenshots; both may be "".
"use strict";
const fs = require("fs");
const path = require("path");
const [, , playwright, chromium, url, report, axe, shots] = process.argv;
const { chromium: driver } = require(playwright);

(async () => {
  const browser = await driver.launch({ executablePath: chromium, args: ["--no-sandbox", "--disable-gpu"] });
  const seen = { console: [], elsewhere: [], steps: {}, axe: {}, wide: {}, small: {} };
  const context = await browser.newContext({ locale: "en-GB", bypassCSP: false });
  const page = await context.newPage();
  page.on("console", (m) => { if (m.type() === "error" || m.type() === "warning") seen.console.push(m.text()); });
  page.on("pageerror", (e) => seen.console.push(String(e)));
  page.on("request", (r) => { if (!r.url().startsWith(url) && r.url() !== report && !r.url().startsWith("data:")) seen.elsewhere.push(r.url()); });

  const look = async (name) => {
    for (const width of [390, 1200]) {
      await page.setViewportSize({ width, height: 844 });
      const key = `${name}-${width}`;
      seen.wide[key] = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      seen.small[key] = await page.evaluate(() => [...document.querySelectorAll("p, li, label, legend, td, th, input, button, select, summary")]
        .filter((e) => e.textContent.trim() && e.getClientRects().length && parseFloat(getComputedStyle(e).fontSize) < 12).map((e) => e.outerHTML.slice(0, 80)));
      if (shots) {
        await page.screenshot({ path: path.join(shots, key + ".png"), fullPage: true });
        await page.screenshot({ path: path.join(shots, key + "-top.png") });
      }
      if (axe) {
        // Put in by the debugger, which the page's own rules do not bind.
        await page.evaluate(fs.readFileSync(axe, "utf8"));
        seen.axe[key] = await page.evaluate(async () => {
          const r = await window.axe.run({ runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] });
          return { passes: r.passes.length, violations: r.violations.map((v) => v.id + ": " + v.nodes.slice(0, 3).map((n) => n.html).join(" | ")) };
        });
      }
    }
    await page.setViewportSize({ width: 390, height: 844 });
  };
  const settled = async () => {
    await page.waitForTimeout(300);
    await page.waitForFunction(() => !document.getElementById("answer").hasAttribute("aria-busy"));
  };
  const note = async (name) => {
    seen.steps[name] = await page.evaluate(() => {
      const text = (q) => { const e = document.querySelector(q); return e ? e.textContent.trim() : ""; };
      const problems = {};
      for (const f of document.querySelectorAll("#ask [data-field]")) {
        const p = f.querySelector(".problem").textContent;
        if (p) problems[f.dataset.field] = p;
      }
      return { headline: text("#answer .headline"), body: text("#answer"), command: text("#command"), bar: text("#bar"), charts: document.querySelectorAll("#answer svg").length, address: location.pathname + location.search, problems };
    });
  };

  await page.goto(url + "/");
  await look("empty");
  await page.selectOption("#f-at", "");
  await page.fill("#f-lat", "45.3");
  await page.fill("#f-lon", "-72.9");
  await page.fill("#f-date", "2027-03-20");
  await page.fill("#f-boxes", "1 deep");
  await page.locator('label:has(input[name="heft"][value="light"])').click();
  const before = Date.now();
  await page.fill("#f-seams", "5");
  await page.waitForFunction(() => document.querySelector("#answer .headline"));
  await settled();
  seen.ms = Date.now() - before;
  await note("heft");
  await look("answer");

  // The slider of the scale.
  await page.selectOption("#way", "gross");
  await settled();
  const slide = async (field, value) => {
    await page.locator(`.slider[data-for="${field}"]`).evaluate((e, v) => { e.value = v; e.dispatchEvent(new Event("input", { bubbles: true })); }, value);
    await settled();
  };
  await slide("f-gross", "21.5");
  await note("light");
  await page.locator('.slider[data-for="f-gross"]').focus();
  await page.keyboard.press("ArrowRight");
  await settled();
  await note("key");
  await slide("f-gross", "48");
  await note("doubted");
  await look("doubted");
  await page.check('#answer input[name="confirm"]');
  await settled();
  await note("heavy");
  await slide("f-bloom-date", "30");
  await page.uncheck('input[name="supplement"][type="checkbox"]');
  await settled();
  await note("bloom");

  // The link holds the whole question.
  const link = await page.getAttribute("#link", "href");
  await page.goto(url + link);
  await note("link");

  // What does not fit is told beside the field.
  await page.fill("#f-boxes", "1 dip");
  await settled();
  await note("problem");
  await look("problem");
  await page.fill("#f-boxes", "1 deep");
  await settled();
  await note("mended");

  // Units turn the labels; what was typed keeps its own unit.
  await page.locator("#g-more summary").click();
  await Promise.all([page.waitForNavigation(), page.locator('label:has(input[name="units"][value="us"])').click()]);
  await settled();
  await note("us");

  // Without script the form is sent as it is.
  const plain = await browser.newContext({ javaScriptEnabled: false });
  const bare = await plain.newPage();
  await bare.setViewportSize({ width: 390, height: 844 });
  await bare.goto(url + "/");
  await bare.selectOption("#f-at", "");
  await bare.fill("#f-lat", "45.3");
  await bare.fill("#f-lon", "-72.9");
  await bare.fill("#f-date", "2027-03-20");
  await bare.fill("#f-boxes", "1 deep");
  await bare.locator('label:has(input[name="heft"][value="light"])').click();
  await bare.fill("#f-seams", "5");
  await Promise.all([bare.waitForNavigation(), bare.click("button[type=submit]")]);
  seen.steps.bare = { headline: await bare.locator("#answer .headline").innerText(), command: (await bare.locator("#command").textContent()).trim() };
  if (shots) await bare.screenshot({ path: path.join(shots, "bare-390.png"), fullPage: true });

  // The plan of the folder, and a colony of it.
  await page.goto(url + "/plan");
  await look("plan");
  await page.locator("#c1 > summary").click();
  await page.locator('#c1 a[href="/plan/1"]').click();
  await page.waitForURL(url + "/plan/1");
  seen.steps.colony = { headline: await page.locator(".headline").innerText(), charts: await page.locator("svg").count() };
  await look("colony");
  await page.click("#again");
  await settled();
  await note("again");

  // The plan as a file, opened as from a stick or a mail.
  await page.goto(report);
  await page.locator('a[href="#c1"]').first().click(); // the link opens what it points to
  await page.waitForFunction(() => document.getElementById("c1").open);
  seen.steps.report = { headline: await page.locator("#c1 .headline").innerText(), charts: await page.locator("#c1 svg").count() };
  await page.locator("#yards input[type=checkbox]").first().check();
  await look("report");

  console.log(JSON.stringify(seen));
  await browser.close();
})().catch((e) => { console.error(e); process.exit(1); });
