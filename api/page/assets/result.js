// Sliders of a result: what would come out with another height, price or cost. Nothing is saved.
"use strict";
{
  const form = document.getElementById("moves");
  const reduced = 200; // draws: enough for two digits of a chance, and quick
  const wait = 250; // ms a slider rests before anything is worked out

  const words = JSON.parse(form ? form.dataset.words : "{}");
  const fill = (text, ...given) => text.replace(/%%|%s|%d/g, (place) => place === "%%" ? "%" : given.shift());
  const space = "\u00a0", unknown = "\u2013";

  // number and three write numbers as the page does.
  const number = (v, decimals) => {
    const [whole, rest] = Math.abs(v).toFixed(decimals).split(".");
    const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") : whole;
    const text = rest === undefined ? grouped : grouped + "." + rest;
    return v < 0 && /[1-9]/.test(text) ? "\u2212" + text : text;
  };
  const three = (v) => {
    if (v === null || v === undefined || !Number.isFinite(v)) return unknown;
    let decimals = 0;
    for (let a = Math.abs(v); a !== 0 && a < 99.95 && decimals < 5; a *= 10) decimals++;
    return number(v, decimals);
  };
  const unit = (text, of) => text === unknown || !of ? text : text + space + of;
  const chance = (share) => share > 0.99 ? fill(words.over, unit("99", "%")) : share < 0.01 ? fill(words.under, unit("1", "%")) : unit(number(100 * share, 0), "%");
  const percent = (share) => share === null ? unknown : unit(number(100 * share, Math.abs(100 * share) < 9.95 ? 1 : 0), "%");

  // length and speed tell what documents have in metres and metres a second, in the page's units.
  const feet = form !== null && form.dataset.units === "feet";
  const length = (m) => {
    const v = feet ? m / 0.3048 : m, whole = Math.abs(v - Math.round(v)) < (feet ? 0.05 : 1e-9) || feet && v >= 9.95;
    return unit(number(v, whole ? 0 : 1), feet ? "ft" : "m");
  };
  const speed = (v) => unit(three(feet && v !== null && v !== undefined ? v / 0.44704 : v), feet ? "mph" : "m/s");

  // tried is a height as a slider gives it, to the tenth of a metre or the whole foot that the page shows; that of a tower, or of the
  // highest, where it is as good as that.
  const tried = (m, towers) => {
    const near = towers.find(([h]) => Math.abs(h - m) < (feet ? 0.5 * 0.3048 : 0.05));
    const highest = Math.max(...towers.map(([h]) => h));
    if (near || m > highest) return near ? near[0] : highest;
    return feet ? Math.round(m / 0.3048) * 0.3048 : Math.round(10 * m) / 10;
  };

  // costOf is a tower's cost between the two given ones beside it.
  const costOf = (towers, height) => {
    const above = towers.findIndex(([h]) => h >= height);
    if (above <= 0) return towers[above < 0 ? towers.length - 1 : 0][1];
    const [h0, c0] = towers[above - 1], [h1, c1] = towers[above];
    return h1 === h0 ? c1 : c0 + (c1 - c0) * (height - h0) / (h1 - h0);
  };

  // changed is the request with what the sliders say.
  const changed = (saved, moved, towers) => {
    const request = structuredClone(saved);
    if (moved.price !== undefined) request.money.price_per_kwh = moved.price;
    if (moved.turbine !== undefined) request.money.turbine_cost = moved.turbine;
    const share = moved.tower === undefined ? 1 : moved.tower / 100;
    if (moved.height !== undefined) request.towers = [{ hub_height_m: moved.height, cost: share * costOf(towers, moved.height) }];
    else if (share !== 1) request.towers = towers.map(([h, cost]) => ({ hub_height_m: h, cost: share * cost }));
    request.uncertainty = { ...request.uncertainty };
    if (request.uncertainty.draws !== 0) request.uncertainty.draws = reduced;
    return request;
  };

  const show = (key, value, note, name) => {
    const place = document.getElementById("number-" + key);
    if (!place) return;
    if (name) place.querySelector("dt").textContent = name;
    const was = place.querySelector(".value");
    place.classList.toggle("moved", was.textContent !== value);
    was.textContent = value;
    const by = place.querySelector(".by");
    if (by && note !== undefined) by.textContent = note;
  };

  const tell = (estimate, currency, given, names) => {
    const best = estimate.heights.find((h) => h.hub_height_m === estimate.best_hub_height_m) || estimate.heights[0];
    const life = best.odds && best.odds.life;
    const both = best.odds && best.odds.below_both;
    const verdict = document.getElementById("verdict");
    verdict.className = "lead verdict " + estimate.verdict.answer;
    verdict.textContent = words[estimate.verdict.answer] + (both && estimate.verdict.answer !== "cannot_say" ? " " + fill(words.chance, chance(both.share)) : "");
    show("height", length(best.hub_height_m), undefined, given.height === undefined ? names.height : words.hub);
    show("energy", unit(three(best.energy.net_kwh), "kWh"), life && life.energy_kwh ? fill(words.spread, three(life.energy_kwh.p50), three(life.energy_kwh.p90)) : undefined);
    show("factor", percent(best.energy.capacity_factor));
    const cost = life && life.cost_per_kwh && life.cost_per_kwh.symmetric_95;
    show("cost", unit(three(best.cost.per_kwh), currency), cost ? fill(words.range, three(cost.low), three(cost.high)) : undefined);
    show("solar", unit(three(best.solar.per_kwh), currency));
    show("price", unit(three(estimate.request.money.price_per_kwh), currency));
    show("wind", speed(best.wind.mean_speed_m_s));
    show("array", unit(three(best.solar.array_kw), "kW"), unit(three(best.solar.annual_kwh), "kWh") + " " + words.year);
    show("capital", unit(three(best.cost.capital), currency));
  };

  const begin = () => {
    const { site, currency } = form.dataset;
    const towers = JSON.parse(form.dataset.towers);
    const state = document.getElementById("moves-state");
    const sliders = [...form.querySelectorAll("input[type=range]")];
    const stale = document.getElementById("moves-stale");
    const names = { height: document.querySelector("#number-height dt")?.textContent };
    const was = { verdict: document.getElementById("verdict").outerHTML, numbers: document.querySelector(".numbers").innerHTML };
    let saved = null, timer = 0, running = null;

    const read = (slider) => slider.closest("div").querySelector("output");
    const label = (slider) => { read(slider).textContent = slider.name === "height" ? length(tried(slider.valueAsNumber, towers)) : unit(slider.name === "tower" ? number(slider.valueAsNumber, 0) : three(slider.valueAsNumber), slider.dataset.unit); };
    const at = (s) => s.name === "height" ? tried(s.valueAsNumber, towers) : s.valueAsNumber;
    sliders.forEach((s) => { s.value = s.defaultValue; }); // a browser may remember where they stood
    const start = new Map(sliders.map((s) => [s, s.valueAsNumber]));
    const away = () => sliders.filter((s) => s.valueAsNumber !== start.get(s));
    const moved = () => Object.fromEntries(away().map((s) => [s.name, at(s)]));
    const spoken = () => away().map((s) => {
      const name = s.labels[0].textContent;
      return name[0].toLowerCase() + name.slice(1) + " " + read(s).textContent;
    }).join(", ");

    const restore = () => {
      document.getElementById("verdict").outerHTML = was.verdict;
      document.querySelector(".numbers").innerHTML = was.numbers;
      state.textContent = "";
      stale.hidden = true;
    };
    const work = async () => {
      if (running) running.abort();
      const given = moved();
      if (Object.keys(given).length === 0) return restore();
      running = new AbortController();
      const { signal } = running;
      state.textContent = words.working;
      try {
        const json = async (answer) => {
          const body = await answer.json();
          if (!answer.ok) throw new Error(body.errors && body.errors[0] ? body.errors[0].detail : body.detail);
          return body;
        };
        const headers = { "Accept": "application/json", "Content-Type": "application/json" };
        saved = saved || (await fetch(site, { headers, signal, credentials: "same-origin" }).then(json)).request;
        const estimate = await fetch("/v1/estimates", { method: "POST", headers, signal, credentials: "same-origin", body: JSON.stringify(changed(saved, given, towers)) }).then(json);
        tell(estimate, currency, given, names);
        stale.hidden = false;
        state.textContent = fill(words.done, spoken());
      } catch (fault) {
        if (fault.name !== "AbortError") state.textContent = fill(words.failed, fault.message);
      }
    };
    const later = () => { clearTimeout(timer); timer = setTimeout(work, wait); };

    form.addEventListener("input", (event) => { label(event.target); later(); });
    form.addEventListener("submit", (event) => { event.preventDefault(); clearTimeout(timer); work(); });
    form.addEventListener("reset", () => {
      clearTimeout(timer);
      if (running) running.abort();
      setTimeout(() => { sliders.forEach(label); restore(); });
    });
    sliders.forEach((slider) => { label(slider); });
    form.hidden = false;
  };
  if (form) begin();
}
