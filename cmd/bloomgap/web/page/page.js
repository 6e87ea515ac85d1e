"use strict";
// The page works without this script: the form is then sent as it is. With it
// the answer follows what is typed, and sliders stand beside figures.
(() => {
  const form = document.getElementById("ask");
  const out = document.getElementById("answer");
  const bar = document.getElementById("bar");
  const status = document.getElementById("status"); // read out
  const pause = 180; // ms after the last key before asking
  const day = 86400000; // ms
  let running = null;
  let timer = 0;

  const byId = (id) => document.getElementById(id);
  const iso = (ms) => new Date(ms).toISOString().slice(0, 10);
  const number = (text) => (/^[-+]?\d+([.,]\d+)?$/.test(text.trim()) ? parseFloat(text.replace(",", ".")) : NaN);

  // Food is judged in one way at a time: only its fields are shown and sent.
  const ways = [["heft", "hefted"], ["gross", "whole hive on a scale"], ["lift-back", "hand scale at the back"], ["lift", "hand scale at both sides"], ["frames", "frames of food counted"], ["", "not known"]];
  const food = byId("g-food");
  const way = document.createElement("select");
  const useWay = () => {
    for (const f of food.querySelectorAll("[data-by]")) {
      const on = f.dataset.by === way.value;
      f.hidden = !on;
      for (const i of f.querySelectorAll("input")) i.disabled = !on;
    }
  };
  {
    for (const [value, text] of ways) way.add(new Option(text, value));
    const label = document.createElement("label");
    label.textContent = "How it was judged";
    label.htmlFor = way.id = "way";
    const field = document.createElement("div");
    field.className = "field pick";
    field.append(label, way);
    food.querySelector("legend").after(field);
    const note = food.querySelector(":scope > .note");
    if (note) note.hidden = true;
    const filled = (f) => [...f.querySelectorAll("input:not(.slider)")].some((i) => (i.type === "radio" ? i.checked && i.value : i.value));
    const first = [...food.querySelectorAll("[data-by]")].filter(filled);
    const surest = ["gross", "lift", "frames", "lift-back", "heft"].find((w) => first.some((f) => f.dataset.by === w));
    way.value = surest || "heft";
    way.addEventListener("change", () => { useWay(); sync(); soon(0); });
    useWay();
  }

  // A yard of the folder brings its own place.
  const at = byId("f-at");
  const useYard = () => {
    for (const name of ["climate", "lat", "lon", "elev"]) {
      const own = Boolean(at && at.value);
      const f = form.querySelector(`[data-field="${name}"]`);
      f.hidden = own;
      for (const i of f.querySelectorAll("input, select")) i.disabled = own;
    }
  };
  useYard();

  // Sliders follow their field and fill it.
  const sliders = [...form.querySelectorAll(".slider")];
  const start = () => Date.parse(byId("f-date").value || byId("f-today").value || iso(Date.now()));
  const sync = () => {
    for (const s of sliders) {
      const field = byId(s.dataset.for);
      if (field.type === "date") {
        const short = byId("short");
        const at = Date.parse(field.value || (short && short.dataset.bloom) || "");
        if (!Number.isNaN(at)) s.value = Math.round((at - start()) / day);
      } else {
        const v = number(field.value);
        if (!Number.isNaN(v)) s.value = v;
      }
      s.classList.toggle("unset", field.type === "date" ? field.value === "" : Number.isNaN(number(field.value)));
      s.setAttribute("aria-valuetext", field.value || "not given");
    }
  };
  for (const s of sliders) {
    s.hidden = false;
    s.addEventListener("input", (e) => {
      e.stopPropagation();
      const field = byId(s.dataset.for);
      field.value = field.type === "date" ? iso(start() + Number(s.value) * day) : s.value;
      s.setAttribute("aria-valuetext", field.value);
      s.classList.remove("unset");
      soon(pause);
    });
  }

  const question = () => {
    const q = new URLSearchParams();
    for (const [name, value] of new FormData(form)) {
      if (value.trim() !== "" || name === "supplement") q.append(name, value);
    }
    return q;
  };

  // Problems stand beside their fields as well.
  const beside = () => {
    for (const f of form.querySelectorAll("[data-field]")) {
      const p = f.querySelector(".problem");
      const found = out.querySelector(`.problems [data-field="${f.dataset.field}"] span`);
      p.textContent = found ? found.textContent : "";
      for (const i of f.querySelectorAll("input:not(.slider)")) {
        if (found) i.setAttribute("aria-invalid", "true");
        else i.removeAttribute("aria-invalid");
      }
    }
  };
  const tell = () => {
    const short = byId("short");
    bar.hidden = !short && !out.querySelector(".problems");
    document.body.classList.toggle("barred", !bar.hidden);
    const words = short ? `${short.dataset.word}: ${short.dataset.short}` : bar.hidden ? "" : "Please check: see below";
    bar.textContent = words;
    status.textContent = words;
  };

  const ask = async () => {
    if (running) running.abort();
    const mine = (running = new AbortController());
    out.setAttribute("aria-busy", "true");
    try {
      const r = await fetch("/answer?" + question(), { signal: mine.signal, credentials: "omit" });
      const text = await r.text();
      if (mine !== running) return;
      if (r.ok) {
        const open = [...out.querySelectorAll("details[open]")].map((d) => d.id);
        out.innerHTML = text;
        for (const id of open) if (byId(id)) byId(id).open = true;
        const short = byId("short");
        if (short) history.replaceState(null, "", short.dataset.link);
      } else {
        out.textContent = text;
      }
      beside();
      sync();
      tell();
      out.removeAttribute("aria-busy");
    } catch (err) {
      if (mine !== running) return; // a later question took its place
      out.textContent = "No reply. Is bloomgap serve still running?";
      out.removeAttribute("aria-busy");
    }
  };
  const soon = (ms) => {
    clearTimeout(timer);
    timer = setTimeout(ask, ms);
  };

  form.addEventListener("input", (e) => {
    if (e.target === way) return;
    if (e.target.name === "units") {
      form.submit(); // the labels change as well
      return;
    }
    if (e.target === at) useYard();
    sync();
    soon(pause);
  });
  // The boxes that confirm a figure stand in the answer.
  out.addEventListener("input", (e) => {
    if (e.target.name === "confirm") soon(0);
  });
  form.addEventListener("submit", (e) => {
    e.preventDefault();
    soon(0);
    out.focus({ preventScroll: true });
    out.scrollIntoView();
  });

  sync();
  tell();
})();
