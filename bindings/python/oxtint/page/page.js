// SPDX-License-Identifier: GPL-3.0-or-later
// The page at the bench. All numbers of films and dips come from the tables in #data, which the library computed;
// this script interpolates between them, keeps time by the wall clock, and keeps what was recorded.
"use strict";
(() => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const $ = (id) => document.getElementById(id);
  const STATE = "oxtint.bench.state", COUPONS = "oxtint.bench.coupons";

  // ---- tables ----

  /** Places and weights of a cubic in 1/T through the four baths about this one; null outside the tables. */
  function weightsAt(kelvin) {
    const baths = data.baths, last = baths.length - 1;
    if (!(kelvin >= baths[0] - 0.01 && kelvin <= baths[last] + 0.01)) return null;
    const place = (1 / kelvin - 1 / baths[0]) / (1 / baths[last] - 1 / baths[0]) * last;
    const from = Math.min(Math.max(Math.floor(place) - 1, 0), last - 3), p = place - from;
    return { from, weights: [-(p - 1) * (p - 2) * (p - 3) / 6, p * (p - 2) * (p - 3) / 2,
      -p * (p - 1) * (p - 3) / 2, p * (p - 1) * (p - 2) / 6] };
  }

  /** A column with a value for each bath, at one of them or between; null where it is out of reach. */
  function between(column, at, forwards = (x) => x, backwards = (x) => x) {
    let sum = 0;
    for (let i = 0; i < 4; i++) {
      const value = column[at.from + i];
      if (value === null) return null;
      sum += at.weights[i] * forwards(value);
    }
    return backwards(sum);
  }
  // Times differ by factors, and may be 0: the logarithm is taken of a second more.
  const time = (column, at) => {
    const found = between(column, at, Math.log1p, Math.expm1);
    return found === null ? null : Math.max(0, found);
  };

  /** Films and the times at which a lift gives them, in one bath. */
  function curveAt(steel, part, kelvin) {
    const at = weightsAt(kelvin);
    if (!at) return null;
    const times = part.times.map((column) => time(column, at));
    return times.some((one) => one !== null) ? { films: steel.films, times } : null;
  }

  /** Where x lies among rising values that may be null: index of the last one not above it, and the share of the way
      to the next. */
  function placeIn(values, x) {
    let low = -1, high = -1;
    for (let i = 0; i < values.length; i++) {
      if (values[i] === null) continue;
      if (values[i] <= x) low = i;
      else { high = i; break; }
    }
    return { low, high };
  }
  const blend = (x0, x1, y0, y1, x) => {
    const share = x1 > x0 ? (x - x0) / (x1 - x0) : 0;
    return y0 + share * (y1 - y0);
  };

  /** The film (nm) that a lift after this time gives. */
  function filmAfter(curve, seconds) {
    const { low, high } = placeIn(curve.times, seconds), { films, times } = curve;
    if (low < 0) return films[high] * seconds / times[high];
    if (high < 0) return films[low];
    return Math.exp(blend(Math.log1p(times[low]), Math.log1p(times[high]), Math.log(films[low]), Math.log(films[high]),
      Math.log1p(seconds)));
  }

  /** The time after which a lift gives this film; null beyond the tables. */
  function timeFor(curve, film) {
    const { low, high } = placeIn(curve.films, film), { films, times } = curve;
    if (low < 0) return times[high] === null ? null : times[high] * film / films[high];
    if (high < 0 || film === films[low]) return times[low];
    if (times[low] === null || times[high] === null) return null;
    return Math.expm1(blend(Math.log(films[low]), Math.log(films[high]), Math.log1p(times[low]), Math.log1p(times[high]),
      Math.log(film)));
  }

  const cautions = Object.fromEntries(data.cautions.map((one) => [one.name, one]));
  const cautionsOf = (set) => data.sets[set].map((place) => data.cautions[place].name);
  function cautionsAt(spans, kelvin) {
    let found = spans[0][1];
    for (const [from, set] of spans) if (kelvin >= from - 1e-6) found = set;
    return found < 0 ? [] : cautionsOf(found);
  }

  /** The dip for a target in a bath, as Steel.dip() has it; null where there is none. */
  function forecast(steel, part, index, kelvin) {
    const at = weightsAt(kelvin), row = part.targets[index];
    const curve = at && curveAt(steel, part, kelvin);
    if (!curve) return null;
    const [earliest, best, latest] = steel.targets[index].at.map((node) => curve.times[node]);
    if (best === null || earliest === null || latest === null) return null;
    const chance = between(row.chance, at);
    return { curve, earliest, time: best, latest, early: time(row.early, at), late: time(row.late, at),
      chance: chance === null ? null : Math.min(1, Math.max(0, chance)), cautions: cautionsAt(row.cautions, kelvin) };
  }

  const tintOf = (steel, film) => {
    const bands = steel.tints;
    return bands.find((band) => film < band.high) || { name: "past the second order" };
  };
  const colourOf = (steel, film) => steel.colours[Math.min(steel.colours.length - 1, Math.max(0, Math.round(film)))];

  // ---- words ----

  const two = (n) => String(n).padStart(2, "0");

  /** As a clock shows it: 45 s, 1:30, 1:02:05. */
  function duration(seconds) {
    if (seconds < 9.95 && seconds > 0 && Math.abs(seconds - Math.round(seconds)) >= 0.05) return `${seconds.toFixed(1)} s`;
    const whole = Math.round(seconds);
    if (whole < 60) return `${whole} s`;
    const minutes = Math.floor(whole / 60);
    return minutes < 60 ? `${minutes}:${two(whole % 60)}`
      : `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(whole % 60)}`;
  }
  /** A count that changes by the second: whole seconds, rounded up so that 0 means now. */
  const countdown = (seconds) => {
    const whole = Math.max(0, Math.ceil(seconds - 1e-6)), minutes = Math.floor(whole / 60);
    return minutes < 60 ? `${minutes}:${two(whole % 60)}`
      : `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(whole % 60)}`;
  };
  const elapsed = (seconds) => countdown(Math.floor(Math.max(0, seconds) + 1e-6));

  const toUnit = (kelvin) => settings.unit === "F" ? kelvin * 1.8 - 459.67 : kelvin - 273.15;
  const toKelvin = (value, unit = settings.unit) =>
    unit === "K" ? value : unit === "F" ? (value + 459.67) / 1.8 : value + 273.15;
  const plain = (value) => String(Math.round(value * 10) / 10);
  const degrees = (kelvin) => `${plain(toUnit(kelvin))} ${settings.unit}`;

  /** Kelvin of what was typed: 600, 600 F, 315,5 C; NaN when it is no temperature. */
  function readBath(text) {
    const found = /^\s*(\d+(?:[.,]\d*)?)\s*°?\s*([FCK]?)\s*$/i.exec(text);
    if (!found) return NaN;
    return toKelvin(Number(found[1].replace(",", ".")), found[2].toUpperCase() || settings.unit);
  }
  function bathFault(text, kelvin) {
    if (Number.isNaN(kelvin)) return `'${text}' is no temperature: type a number such as ${settings.unit === "F" ? 600 : 315}.`;
    const baths = data.baths;
    if (weightsAt(kelvin)) return "";
    return `No times for ${degrees(kelvin)} on this page, which has ${degrees(baths[0])} to ${degrees(baths[baths.length - 1])}.`
      + (kelvin > baths[baths.length - 1] ? " It is too hot for a nitrate salt." : "");
  }

  const element = (tag, text = "", name = "") => {
    const made = document.createElement(tag);
    if (text) made.textContent = text;
    if (name) made.className = name;
    return made;
  };
  const show = (id, text) => { const box = $(id); box.hidden = !text; if (box.textContent !== text) box.textContent = text; };
  const put = (id, text) => { const box = $(id); if (box.textContent !== text) box.textContent = text; };
  const ofKind = (names, kind) => names.filter((name) => cautions[name].kind === kind);
  const listCautions = (box, names) => box.replaceChildren(...(names.length ? names : [null]).map((name) => {
    if (name === null) return element("li", "None.");
    const item = element("li"), [lead, ...rest] = cautions[name].brief.split(":");
    item.append(element("strong", `${lead}:`), rest.join(":"));
    return item;
  }));
  const forbidden = (names) => ofKind(names, "forbids").map((name) => cautions[name].text).join(" ");

  /** A number as large as its box lets it be. */
  function big(box, text) {
    if (box.textContent === text) return;
    box.textContent = text;
    box.classList.toggle("long", text.length > 5);
  }

  // ---- what is kept ----

  const troubles = new Map();
  function trouble(key, text) {
    if (text) troubles.set(key, text); else troubles.delete(key);
    show("trouble", [...troubles.values()].join(" "));
  }
  const LOST = "This browser keeps nothing (a private window, or its storage is full or refused). The clock works; "
    + "save the coupons before this page is closed.";
  data.notes.forEach((text, i) => trouble(`note ${i}`, text));

  function load(key, usual) {
    let text = null;
    try {
      text = window.localStorage.getItem(key);
    } catch {
      trouble("storage", LOST);
      return usual;
    }
    if (text === null) return usual;
    try {
      return JSON.parse(text);
    } catch {
      try { window.localStorage.setItem(`${key}.damaged`, text); } catch { /* what is damaged stays where it is */ }
      trouble("damaged", "What this browser had kept cannot be read; it is set aside.");
      return usual;
    }
  }
  function store(key, value) {
    try {
      window.localStorage.setItem(key, JSON.stringify(value));
      trouble("storage", "");
      return true;
    } catch {
      trouble("storage", LOST);
      return false;
    }
  }

  const kept = load(STATE, {}) || {};
  const settings = { unit: kept.unit === "F" || kept.unit === "C" ? kept.unit : data.unit, dark: kept.dark };
  const choice = { steel: 0, part: 0, target: 0, bath: 0 };
  let run = kept.run || null; // a dip that is in the bath, or lifted and not yet recorded
  let set = kept.set || null; // a set at work
  let queue = kept.queue || []; // dips that wait for their record
  let coupons = load(COUPONS, []);
  if (!Array.isArray(coupons)) coupons = [];

  function remember() {
    const steel = data.steels[choice.steel];
    store(STATE, { unit: settings.unit, dark: settings.dark, run, set, queue,
      choice: { steel: steel.text, part: steel.parts[choice.part].name, target: (steel.targets[choice.target] || {}).name,
        bath: choice.bath } });
  }

  // ---- sound, vibration, a screen that stays on ----

  let audio = null;
  function openAudio() {
    const Kind = window.AudioContext || window.webkitAudioContext;
    if (!audio && Kind) { try { audio = new Kind(); } catch { audio = null; } }
    if (audio && audio.state === "suspended") audio.resume().catch(() => {});
  }
  /** So many tones of a pitch (Hz) and a length (s). */
  function signal(count, pitch, length) {
    const touched = !navigator.userActivation || navigator.userActivation.hasBeenActive;
    if (!touched) { trouble("sound", "Tap the page once: until then it makes no sound."); return; }
    if (navigator.vibrate) navigator.vibrate(Array(count).fill([length * 1000, 120]).flat());
    if (!audio) return;
    openAudio();
    for (let i = 0; i < count; i++) {
      const start = audio.currentTime + i * (length + 0.12), tone = audio.createOscillator(), gain = audio.createGain();
      tone.type = "square";
      tone.frequency.value = pitch;
      gain.gain.setValueAtTime(0.5, start);
      tone.connect(gain).connect(audio.destination);
      tone.start(start);
      tone.stop(start + length);
    }
  }
  // After the click, not when it begins: what moves under a finger is missed.
  document.addEventListener("click", () => { if (troubles.has("sound")) { trouble("sound", ""); openAudio(); } });
  let awake = null;
  async function keepAwake(wanted) {
    if (!wanted) { if (awake) awake.release().catch(() => {}); awake = null; return; }
    if (!navigator.wakeLock) {
      put("awake", "This browser cannot keep the screen on: set the phone so. The count stays right if it sleeps.");
      return;
    }
    try {
      awake = await navigator.wakeLock.request("screen");
      put("awake", "The screen stays on.");
    } catch {
      put("awake", "The screen may switch off. The count stays right if it does.");
    }
  }
  const say = (text) => put("say", text);

  // ---- choose ----

  const now = () => Date.now();
  const acknowledged = new Set();
  const views = ["choose", "run", "set", "record", "log"];
  let view = "";

  function open(name) {
    view = name;
    for (const one of views) $(`view-${one}`).hidden = one !== name;
    $("always").hidden = name !== "choose" && name !== "set";
    const tab = { run: "choose", record: "choose" }[name] || name;
    for (const one of ["choose", "set", "log"]) {
      if (one === tab) $(`tab-${one}`).setAttribute("aria-current", "page");
      else $(`tab-${one}`).removeAttribute("aria-current");
    }
    window.scrollTo(0, 0);
    if (name === "choose") renderChoose();
    if (name === "log") renderLog();
    if (name === "record") renderRecord();
    tick();
  }

  function swatch(group, value, colour, text, checked) {
    const label = element("label"), input = element("input"), box = element("span", "", "choice"),
      square = element("span", "", "colour");
    Object.assign(input, { type: "radio", name: group, value, checked });
    if (colour) square.style.background = colour;
    box.append(square, element("span", text));
    label.append(input, box);
    return label;
  }

  function fillSelect(box, names, chosen) {
    box.replaceChildren(...names.map((name, index) => {
      const option = element("option", name);
      option.value = index;
      return option;
    }));
    box.value = chosen;
  }

  function renderSteel() {
    const steel = data.steels[choice.steel];
    fillSelect($("steel"), data.steels.map((one) => one.text), choice.steel);
    fillSelect($("part"), steel.parts.map((one) => one.name), choice.part);
    for (const [id, second] of [["colours", false], ["colours-2", true]]) {
      const list = steel.targets.map((target, index) => [target, index]).filter(([target]) => (target.order === 2) === second);
      $(id).replaceChildren(...list.map(([target, index]) =>
        swatch("colour", index, target.rgb, target.name, index === choice.target)));
    }
    $("second").hidden = !$("colours-2").children.length;
    const chosen = steel.targets[choice.target];
    if (chosen && chosen.order === 2) $("second-box").open = true;
  }

  function renderUnit() {
    const other = settings.unit === "F" ? "C" : "F", step = settings.unit === "F" ? 5 : 2;
    $("unit").textContent = settings.unit;
    $("unit").setAttribute("aria-label", `Temperatures in ${settings.unit}; change to ${other}`);
    for (const name of ["bath", "reading"])
      for (const [way, sign, word] of [["less", "−", "less"], ["more", "+", "more"]]) {
        $(`${name}-${way}`).textContent = sign + step;
        $(`${name}-${way}`).setAttribute("aria-label", `${step} degrees ${word}`);
      }
    const steel = data.steels[choice.steel], margin = 30, baths = data.baths;
    const low = Math.max(steel.low - margin, baths[0]), high = Math.min(steel.high + margin, baths[baths.length - 1]);
    Object.assign($("bath-slider"), { min: Math.ceil(toUnit(low) / step) * step, max: Math.floor(toUnit(high) / step) * step,
      step: 1 });
    document.documentElement.classList.toggle("dark", settings.dark);
    $("night").textContent = settings.dark ? "Light" : "Dark";
    $("night").setAttribute("aria-label", settings.dark ? "Change to a light screen" : "Change to a dark screen");
  }

  function renderBath() {
    $("bath").value = degrees(choice.bath);
    const value = Math.round(toUnit(choice.bath));
    $("bath-slider").value = value;
    $("bath-slider").setAttribute("aria-valuetext", degrees(choice.bath));
  }

  /** The run of colours in time, the window, the aim, and with `at` where it is now. */
  function drawRun(box, steel, curve, window, name, at = null) {
    const end = Math.max(1.3 * window.latest, at === null ? 0 : 1.04 * at, 1), stops = [];
    for (let i = 0; i <= 60; i++) {
      const film = filmAfter(curve, end * i / 60);
      stops.push(`${colourOf(steel, film)} ${(100 * i / 60).toFixed(1)}%`);
    }
    const place = (seconds) => `${Math.min(100, Math.max(0, 100 * seconds / end))}%`;
    if (!box.firstChild) {
      for (const kind of ["film", "window", "aim", "now"]) box.append(element("div", "", kind));
      for (const kind of ["at-first", "at-aim", "at-last"]) box.append(element("span", "", kind));
    }
    const [film, bracket, aim, cursor, first, best, last] = box.children;
    film.style.background = `linear-gradient(to right, ${stops.join(", ")})`;
    bracket.style.left = first.style.left = place(window.earliest);
    bracket.style.width = `${Math.max(0, 100 * (window.latest - window.earliest) / end)}%`;
    last.style.left = place(window.latest);
    aim.style.left = best.style.left = place(window.time);
    cursor.hidden = at === null;
    if (at !== null) cursor.style.left = place(at);
    first.textContent = duration(window.earliest);
    best.textContent = duration(window.time);
    last.textContent = duration(window.latest);
    const names = steel.tints.map((band) => [band, timeFor(curve, Math.max(band.low, curve.films[0]))])
      .filter(([, from]) => from !== null && from < end).map(([band, from]) => `${band.name} from ${duration(from)}`);
    const text = `Colours in time: ${names.join(", ")}. ${name} from ${duration(window.earliest)} to `
      + `${duration(window.latest)}, best at ${duration(window.time)}.`;
    if (box.getAttribute("aria-label") !== text) box.setAttribute("aria-label", text);
  }

  function covered(steel) {
    if (!steel.trials) return `No coupon stands behind these times: ${steel.origin}.`;
    return `${steel.trials} coupons stand behind these times, in baths of ${degrees(steel.low)} to ${degrees(steel.high)}.`;
  }

  /** Whether a caution that forbids is still to be read. */
  function pending(names, key) {
    const list = ofKind(names, "forbids"), whole = `${key}|${list.join()}`;
    if (!list.length) for (const one of [...acknowledged]) if (one.startsWith(`${key}|`)) acknowledged.delete(one);
    return list.length > 0 && !acknowledged.has(whole) ? whole : "";
  }
  let toAcknowledge = "";

  function renderChoose() {
    const steel = data.steels[choice.steel], part = steel.parts[choice.part], target = steel.targets[choice.target];
    const text = $("bath").value, typed = text === degrees(choice.bath) ? choice.bath : readBath(text);
    const fault = bathFault(text, typed);
    show("bath-fault", fault);
    if (fault) $("bath").setAttribute("aria-invalid", "true"); else $("bath").removeAttribute("aria-invalid");
    const found = fault || !target ? null : forecast(steel, part, choice.target, typed);
    const names = found ? found.cautions : [];
    toAcknowledge = pending(names, `${choice.steel}|${choice.part}`);
    const forbids = forbidden(names);
    $("forbids").hidden = !forbids;
    if (forbids) put("forbids-text", forbids);
    $("acknowledge").hidden = !toAcknowledge;
    $("forecast").hidden = !found || Boolean(toAcknowledge);
    $("start").disabled = Boolean(fault) || Boolean(toAcknowledge);
    $("start").textContent = fault ? "Set the bath first" : toAcknowledge ? "Read the caution first"
      : found ? "Start: part goes in" : "Start the clock without a forecast";
    show("none", found || fault ? "" : !target ? "This page has no colours. The clock works without them."
      : `${target.name} is out of reach at ${degrees(typed)}. Choose another bath or another colour.`);
    listCautions($("case"), ofKind(names, "case"));
    put("basis", covered(steel));
    if (!found || toAcknowledge) return;
    big($("lift"), duration(found.time));
    drawRun($("run"), steel, found.curve, found, target.name);
    put("window", `${target.name} ${duration(found.earliest)} to ${duration(found.latest)}`
      + (found.chance === null ? "" : `, chance ${Math.round(100 * found.chance)} %`));
    put("sure", found.early === null || found.late === null ? ""
      : `Uncertainty, next dip 95 %: ${duration(found.early)} to ${duration(found.late)}`);
    show("outside", [["EXTRAPOLATED_BATH", "no coupon was run in such a bath."], ["EXTRAPOLATED_FILM", "no coupon grew such a film."]]
      .filter(([name]) => names.includes(name)).map(([, text]) => `Outside the trials: ${text}`).join(" "));
    const leads = ofKind(names, "case").map((name) => cautions[name].brief.split(":")[0]);
    put("mind", leads.length ? `Mind: ${leads.join(", ")}` : "");
    put("how", `Part: ${part.text}.`);
  }

  function setBath(kelvin) {
    choice.bath = kelvin;
    renderBath();
    remember();
    renderChoose();
  }
  function step(kelvin, way) {
    const by = settings.unit === "F" ? 5 : 2;
    const value = toUnit(kelvin) / by, near = Math.round(value);
    return toKelvin(by * (Math.abs(value - near) < 1e-3 ? near + way : way > 0 ? Math.ceil(value) : Math.floor(value)));
  }
  function takeBath() {
    const kelvin = readBath($("bath").value);
    if (!bathFault($("bath").value, kelvin)) setBath(kelvin);
    else renderChoose();
  }

  // ---- time ----

  /** The steel, part and target of a run on this page, or null where the page has others. */
  function planOf(one) {
    const steel = data.steels.find((each) => each.text === one.steel.text);
    const part = steel && steel.parts.find((each) => each.name === one.part.name);
    const index = steel ? steel.targets.findIndex((each) => each.name === one.target) : -1;
    return part && index >= 0 ? { steel, part, target: steel.targets[index], index } : null;
  }

  /** Where a dip is: the film that a lift now gives, by the exposure that was gained in each bath so far, and the
      seconds to the window in the bath as it is now. */
  function whereIs(one, at) {
    const plan = planOf(one);
    if (!plan) return null;
    let film = 0, gained = 0, curve = null;
    for (let i = 0; i < one.readings.length; i++) {
      const [from, kelvin] = one.readings[i], next = curveAt(plan.steel, plan.part, kelvin);
      if (!next) return null;
      if (curve) gained = carryOver(next, film, gained, plan.part, one.readings[i - 1][1], kelvin);
      curve = next;
      gained += Math.max(0, (i + 1 < one.readings.length ? Math.min(at, one.readings[i + 1][0]) : at) - from) / 1000;
      film = filmAfter(curve, gained);
    }
    const [first, best, last] = plan.target.at.map((node) => curve.times[node]);
    if (first === null || best === null || last === null) return null;
    return { ...plan, curve, film, gained, earliest: first - gained, best: best - gained, latest: last - gained,
      window: { earliest: first, time: best, latest: last } };
  }
  /** The time in another bath that has grown as much; more is to come where the part is colder than it would be had
      it been in that bath from the start. */
  function carryOver(curve, film, gained, part, before, after) {
    const seconds = timeFor(curve, film);
    if (seconds === null) return gained;
    if (!part.warming) return seconds;
    const colder = surface(part.warming, after, seconds) - surface(part.warming, before, gained);
    return Math.max(0, seconds - colder * between(part.warming.delays, weightsAt(after)));
  }
  /** The surface (K) of a part in a bath after some time. */
  function surface(warming, kelvin, seconds) {
    const { low, high } = placeIn(warming.times, seconds), [first, last] = [data.baths[0], data.baths[data.baths.length - 1]];
    if (high < 0) return kelvin;
    const at = (values) => blend(warming.times[low], warming.times[high], values[low], values[high], seconds);
    return blend(first, last, at(warming.cold), at(warming.hot), kelvin);
  }

  function startRun(part, steel, target, bath) {
    openAudio();
    trouble("clock", "");
    run = { id: `${now()}-${Math.floor(Math.random() * 1e6)}`, start: now(), lifted: null, signalled: [],
      steel: { text: steel.text, name: steel.name, finish: steel.finish }, part: partOf(part), target,
      readings: [[now(), bath]], scale: settings.unit };
    remember();
    say("Started");
    keepAwake(true);
    open("run");
    $("phase").scrollIntoView({ block: "nearest" });
  }
  const partOf = ({ name, text, part_mm, shape, start_K, transfer, lift_s }) =>
    ({ name, text, part_mm, shape, start_K, transfer, lift_s });

  // Each is due when its seconds are up. A late one, after the phone slept, is not sounded again and again.
  const SIGNALS = [
    ["opens", (w) => w.earliest, () => signal(1, 880, 0.3), "The window is open"],
    ["best", (w) => w.best, () => signal(3, 1320, 0.25), "Lift now"],
    ["closing", (w) => w.latest - Math.min(5, 0.3 * (w.latest - w.best)), () => signal(2, 660, 0.3), "The window is closing"],
    ["late", (w) => w.latest, () => signal(1, 220, 1.0), "Too late: polish off and start again"]];

  function signals(one, where) {
    let newest = null;
    for (const each of SIGNALS) {
      const [name, secondsTo] = each, left = secondsTo(where), done = one.signalled.indexOf(name);
      if (left <= 0 && done < 0) { one.signalled.push(name); newest = each; }
      else if (left > 1 && done >= 0) one.signalled.splice(done, 1);
    }
    if (!newest) return;
    newest[2]();
    say(newest[3]);
    remember();
  }

  /** What to do, how long until then, and a word on the window. */
  function phaseOf(where, name) {
    if (where.latest < 0)
      return { kind: "past", phase: "Too late: polish off, start again", count: countdown(Math.floor(-where.latest)),
        detail: `${name} has passed this long ago` };
    if (where.best <= 0)
      return { kind: "now-lift", phase: "Lift now", count: countdown(where.latest), detail: `Until ${name} is past` };
    if (where.earliest <= 0)
      return { kind: "showing", phase: "Best lift in", count: countdown(where.best),
        detail: `Window open: ${name} shows. It closes in ${countdown(where.latest)}.` };
    return { kind: "growing", phase: "Lift in", count: countdown(where.best),
      detail: `Window opens in ${countdown(where.earliest)}, closes in ${countdown(where.latest)}` };
  }
  function paint(panel, kind) {
    for (const one of ["showing", "now-lift", "past"]) panel.classList.toggle(one, one === kind);
  }

  function renderRun() {
    if (!run) return;
    const at = now(), seconds = (at - run.start) / 1000, where = whereIs(run, at);
    put("run-name", [run.target, run.steel.text, run.part.name].filter(Boolean).join(" · "));
    put("in-bath", `In the bath for ${elapsed(seconds)}`);
    for (const id of ["film", "run-run"]) $(id).hidden = !where;
    if (!where) {
      paint($("panel"), "");
      put("phase", "In the bath for");
      big($("count"), elapsed(seconds));
      put("detail", run.target ? "No forecast: this page has no times for this dip." : "No forecast was asked for.");
      return;
    }
    signals(run, where);
    const found = phaseOf(where, run.target);
    paint($("panel"), found.kind);
    put("phase", found.phase);
    big($("count"), found.count);
    put("detail", found.detail);
    $("film-colour").style.background = colourOf(where.steel, where.film);
    put("film-name", `Lifted now: ${tintOf(where.steel, where.film).name}`);
    drawRun($("run-run"), where.steel, where.curve, where.window, run.target, where.gained);
    const names = cautionsAt(where.part.targets[where.index].cautions, run.readings[run.readings.length - 1][1]);
    show("run-forbids", forbidden(names));
  }

  function showReading() {
    if (run) $("reading").value = degrees(run.readings[run.readings.length - 1][1]);
    show("reading-fault", "");
  }
  function newReading(kelvin) {
    const last = run.readings[run.readings.length - 1], at = now();
    if (kelvin !== last[1]) {
      // A step after a step is one reading.
      if (at - last[0] < 3000 && run.readings.length > 1) last[1] = kelvin;
      else if (at - run.start < 3000) run.readings = [[run.start, kelvin]];
      else run.readings.push([at, kelvin]);
      remember();
    }
    showReading();
    tick();
  }
  function takeReading() {
    const text = $("reading").value, kelvin = readBath(text), fault = bathFault(text, kelvin);
    show("reading-fault", fault && `${fault} The clock goes on with ${degrees(run.readings[run.readings.length - 1][1])}.`);
    if (!fault) newReading(kelvin);
  }

  function liftRun() {
    run.lifted = now();
    run.readings = run.readings.filter(([from], index) => index === 0 || from < run.lifted);
    remember();
    keepAwake(false);
    signal(1, 440, 0.15);
    say("Lifted");
    open("record");
  }
  function stopRun() {
    run = null;
    keepAwake(false);
    remember();
    nextRecord();
  }

  // ---- record ----

  let confirmed = null, backTo = null;
  function ask(text, yes, no, then) {
    put("confirm-text", text);
    put("confirm-yes", yes);
    put("confirm-no", no);
    backTo = document.activeElement;
    confirmed = then;
    $("confirm").hidden = false;
    $("confirm-no").focus();
  }
  function answer(yes) {
    $("confirm").hidden = true;
    if (backTo) backTo.focus();
    if (yes) confirmed();
  }

  const inRecord = () => run && run.lifted ? run : queue[0] || null;

  function renderRecord() {
    const one = inRecord();
    if (!one) return;
    const steel = data.steels.find((each) => each.text === one.steel.text) || data.steels[0];
    const readings = one.readings.map(([, kelvin]) => degrees(kelvin));
    put("record-text", `${one.name ? `${one.name}: ` : ""}${one.steel.text}, ${duration((one.lifted - one.start) / 1000)} at `
      + `${readings.join(", then ")}${one.target ? `; wanted ${one.target}` : ""}`);
    const list = steel.tints.map((band, index) => [band, index]);
    const none = swatch("seen", -1, "", "None of these", false);
    none.className = "none";
    none.querySelector(".colour").remove();
    $("seen").replaceChildren(...list.filter(([band]) => band.order !== 2).map(([band, index]) =>
      swatch("seen", index, band.rgb, band.name, false)), none);
    $("seen-2").replaceChildren(...list.filter(([band]) => band.order === 2).map(([band, index]) =>
      swatch("seen", index, band.rgb, band.name, false)));
    $("note").value = one.note || "";
    $("keep").disabled = true;
    $("keep").textContent = "Tap the colour first";
    $("resume").hidden = one !== run;
  }
  const seen = () => document.querySelector("input[name=seen]:checked");

  /** Mean of what the thermometer read, by time, and its standard deviation, K. */
  function meanBath(one) {
    let sum = 0, square = 0, whole = 0;
    const first = one.readings[0][1];
    one.readings.forEach(([from, kelvin], index) => {
      const until = index + 1 < one.readings.length ? one.readings[index + 1][0] : one.lifted;
      const share = Math.max(1e-3, (until - from) / 1000), off = kelvin - first;
      sum += share * off; square += share * off * off; whole += share;
    });
    return { mean: first + sum / whole, sd: Math.sqrt(Math.max(0, square / whole - (sum / whole) ** 2)) };
  }

  function keep() {
    const one = inRecord(), chosen = seen();
    if (!one || !chosen) return;
    const steel = data.steels.find((each) => each.text === one.steel.text) || data.steels[0];
    const band = chosen.value === "-1" ? null : steel.tints[Number(chosen.value)], { mean, sd } = meanBath(one);
    const inScale = (kelvin) => one.scale === "F" ? kelvin * 1.8 - 459.67 : kelvin - 273.15;
    const readings = one.readings.slice(1).map(([at, kelvin]) =>
      `bath ${plain(inScale(kelvin))} ${one.scale} from ${elapsed((at - one.start) / 1000)}`);
    const coupon = {
      id: one.id, date: localDate(one.start), steel: one.steel.name, finish: one.steel.finish,
      bath: `${plain(inScale(mean))} ${one.scale}`, bath_sd: sd > 0.05 ? `${plain(one.scale === "F" ? sd * 1.8 : sd)} ${one.scale}` : "",
      time_s: Math.round((one.lifted - one.start) / 100) / 10, colour: band && band.label, rgb: band ? band.rgb : "",
      part: one.part, target: one.target || "", note: [one.name, $("note").value.trim(), ...readings].filter(Boolean).join("; "),
      exported: false };
    coupons = merged([...coupons, coupon]);
    const safe = store(COUPONS, coupons);
    if (one === run) run = null; else queue.shift();
    remember();
    say(safe ? "Kept" : "Kept until this page is closed");
    nextRecord();
  }
  /** What another window of this page has kept meanwhile belongs to the list. */
  function merged(list) {
    const known = new Set(list.map((one) => one.id)), other = load(COUPONS, []);
    return [...(Array.isArray(other) ? other : []).filter((one) => one && one.id && !known.has(one.id) && !gone.has(one.id)), ...list];
  }
  const gone = new Set();
  function localDate(at) {
    const day = new Date(at);
    return `${day.getFullYear()}-${two(day.getMonth() + 1)}-${two(day.getDate())}`;
  }
  function nextRecord() {
    renderCount();
    open(queue.length ? "record" : set ? "set" : "log");
  }

  function renderCount() {
    const waiting = coupons.filter((one) => !one.exported).length;
    put("log-count", coupons.length ? ` (${coupons.length}${waiting ? "" : ", saved"})` : "");
  }

  const COLUMNS = [
    ["steel", (one) => one.steel], ["finish", (one) => one.finish], ["bath", (one) => one.bath],
    ["time_s", (one) => one.time_s], ["colour", (one) => one.colour], ["part_mm", (one) => one.part.part_mm],
    ["shape", (one) => one.part.part_mm ? one.part.shape : ""],
    ["start_K", (one) => one.part.part_mm ? one.part.start_K : ""],
    ["transfer_W_per_m2K", (one) => one.part.part_mm ? one.part.transfer : ""],
    ["lift_s", (one) => one.part.lift_s], ["bath_sd", (one) => one.bath_sd],
    ["note", (one) => [one.note, one.date, one.target && `wanted ${one.target}`].filter(Boolean).join("; ")]];
  function cell(value) {
    const text = String(value ?? "").replace(/\s+/g, " ");
    return /^#|[",;]/.test(text) ? `"${text.replace(/"/g, '""')}"` : text;
  }
  /** A log as read_trials() takes it; a dip whose colour has no name is a comment, as it is no coupon. */
  function csv() {
    const lines = coupons.map((one) => (one.colour ? "" : "# none of the colours: ")
      + COLUMNS.map(([, value]) => cell(value(one))).join(","));
    return [COLUMNS.map(([name]) => name).join(","), ...lines, ""].join("\r\n");
  }
  const csvName = () => `coupons-${localDate(now())}.csv`;
  const csvFile = () => new File([csv()], csvName(), { type: "text/csv" });
  const canShare = () => {
    try { return Boolean(navigator.canShare && navigator.canShare({ files: [csvFile()] })); } catch { return false; }
  };
  function markExported() {
    for (const one of coupons) one.exported = true;
    store(COUPONS, coupons);
    renderLog();
  }
  function exportCsv() {
    const link = element("a");
    link.href = URL.createObjectURL(csvFile());
    link.download = csvName();
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    markExported();
    say("Saved as CSV");
  }
  async function shareCsv() {
    try {
      await navigator.share({ files: [csvFile()], title: csvName() });
      markExported();
    } catch { say("Not shared"); }
  }
  function drop(list) {
    for (const one of list) gone.add(one.id);
    coupons = merged(coupons.filter((one) => !list.includes(one)));
    store(COUPONS, coupons);
    renderLog();
  }
  function clearLog() {
    const unsaved = coupons.filter((one) => !one.exported).length;
    const all = [...coupons];
    if (!unsaved) drop(all);
    else ask(`${unsaved} of ${all.length} coupons are not saved as CSV. Delete them for good?`, "Delete", "Keep them", () => drop(all));
  }

  function renderLog() {
    renderCount();
    $("log-empty").hidden = coupons.length > 0;
    for (const id of ["export", "clear", "as-text"]) $(id).hidden = !coupons.length;
    $("share").hidden = !coupons.length || !canShare();
    $("csv").value = csv();
    $("log-list").replaceChildren(...coupons.map((one) => {
      const item = element("li"), square = element("span", "", "colour"), text = element("p"), button = element("button", "Delete");
      if (one.rgb) square.style.background = one.rgb;
      text.append(element("strong", one.colour || "none of the colours"), ` after ${duration(one.time_s)} at ${one.bath}. ${one.steel}`
        + `${one.finish ? `, ${one.finish}` : ""}, ${one.date}${one.note ? `. ${one.note}` : ""}`);
      button.type = "button";
      button.setAttribute("aria-label", `Delete: ${one.colour || "none"} after ${duration(one.time_s)}`);
      button.addEventListener("click", () => ask("Delete this coupon for good?", "Delete", "Keep it", () => drop([one])));
      item.append(square, text, button);
      return item;
    }).reverse());
  }

  // ---- set ----

  const plan = data.plan;

  /** The next thing to do in the set: a part goes in, or is lifted. */
  function nextOf() {
    const at = (now() - set.start) / 1000;
    const due = plan.steps.flatMap((step, index) => {
      const done = set.steps[index] || {};
      if (done.lifted) return [];
      const entered = done.entered ? (done.entered - set.start) / 1000 : step.enter;
      return [{ index, step, in: Boolean(done.entered), due: done.entered ? entered + step.time : step.enter,
        earliest: entered + step.earliest, latest: entered + step.latest, entered }];
    });
    due.sort((a, b) => a.due - b.due);
    return { at, next: due[0] || null };
  }

  function setSignals(next, at) {
    const left = next.due - at, key = `${next.index}${next.in ? "lift" : "in"}`;
    for (const [name, when, sound] of [["ready", 5, () => signal(1, 880, 0.15)], ["now", 0, () => signal(3, 1320, 0.25)]])
      if (left <= when && !set.signalled.includes(key + name)) {
        set.signalled.push(key + name);
        if (left > when - 3 || name === "now") { sound(); say(`${next.in ? "Lift" : "In"}: ${next.step.name}${name === "now" ? " now" : ""}`); }
        remember();
      }
  }

  function renderSetSteps(at) {
    const box = $("set-steps"), end = Math.max(...plan.steps.map((step) => step.enter + step.latest)) * 1.08;
    if (!box.children.length)
      for (const step of plan.steps) {
        const item = element("li"), head = element("div"), track = element("div", "", "track");
        head.append(element("strong", `${step.name}: `), element("span"), element("div", `${step.target}, ${step.part.text}`, "small"));
        for (const kind of ["in", "lift-window", "cursor"]) track.append(element("i", "", kind));
        item.append(head, track);
        box.append(item);
      }
    plan.steps.forEach((step, index) => {
      const item = box.children[index], done = set && set.steps[index] || {};
      const [inBath, bracket, cursor] = item.querySelector(".track").children;
      const from = done.entered ? (done.entered - set.start) / 1000 : step.enter;
      const until = done.lifted ? (done.lifted - set.start) / 1000 : from + step.latest;
      const place = (seconds) => `${Math.min(100, Math.max(0, 100 * seconds / end))}%`;
      const curve = { films: step.films, times: step.times }, stops = [];
      for (let i = 0; i <= 30; i++) {
        const film = filmAfter(curve, (until - from) * i / 30);
        stops.push(`${step.colours[Math.min(step.colours.length - 1, Math.round(film))]} ${(100 * i / 30).toFixed(0)}%`);
      }
      inBath.style.left = place(from);
      inBath.style.width = `${100 * Math.max(0, until - from) / end}%`;
      inBath.style.background = `linear-gradient(to right, ${stops.join(", ")})`;
      bracket.style.left = place(from + step.earliest);
      bracket.style.width = `${100 * (step.latest - step.earliest) / end}%`;
      cursor.hidden = !set || at > end;
      cursor.style.left = place(at);
      const state = done.lifted ? `lifted after ${duration((done.lifted - done.entered) / 1000)}`
        : done.entered ? `in; lift at ${duration(from + step.time)}` : `in at ${duration(step.enter)}, lift at ${duration(step.enter + step.time)}`;
      const text = item.querySelector("span");
      if (text.textContent !== state) text.textContent = state;
    });
  }

  function renderSet() {
    const names = cautionsOf(plan.cautions), waits = pending(names, "set");
    $("set-forbids").hidden = !forbidden(names);
    put("set-forbids-text", forbidden(names));
    $("set-acknowledge").hidden = !waits;
    put("set-bath", degrees(plan.bath));
    put("set-sure", `Chance that each shows its colour ${Math.round(100 * plan.chance)} %, that all match within `
      + `${plan.tolerance}: ${Math.round(100 * plan.match)} %.`);
    const button = $("set-next");
    $("set-stop").hidden = !set;
    $("set-panel").hidden = Boolean(waits) && !set;
    $("set-steps").hidden = Boolean(waits) && !set;
    button.disabled = Boolean(waits) && !set;
    if (!set) {
      paint($("set-panel"), "");
      put("set-phase", `First into the bath: ${plan.steps[0].name}`);
      big($("set-count"), "0:00");
      put("set-detail", `${plan.steps.length} parts; the last lift is ${duration(Math.max(...plan.steps.map((step) => step.enter + step.time)))} later.`);
      put("set-next", waits ? "Read the caution first" : `Start: ${plan.steps[0].name} goes in`);
      renderSetSteps(0);
      return;
    }
    const { at, next } = nextOf();
    renderSetSteps(at);
    if (!next) return;
    setSignals(next, at);
    const left = next.due - at;
    paint($("set-panel"), left <= 0 ? (next.in && at > next.latest ? "past" : "now-lift") : "");
    put("set-phase", `${left > 0 ? "Next" : "Now"} ${next.in ? "to lift" : "into the bath"}: ${next.step.name}`);
    big($("set-count"), left > 0 ? countdown(left) : `+${elapsed(-left)}`);
    put("set-detail", next.in ? `${next.step.target} shows from ${duration(next.earliest)} to ${duration(next.latest)} of the set; now ${elapsed(at)}`
      : `Now ${elapsed(at)} of the set`);
    put("set-next", next.in ? `${next.step.name} is lifted` : `${next.step.name} is in`);
  }

  function setNext() {
    if (!set) {
      openAudio();
      set = { start: now(), steps: [{ entered: now() }], signalled: [] };
      keepAwake(true);
    } else {
      const { next } = nextOf();
      const done = set.steps[next.index] || (set.steps[next.index] = {});
      if (next.in) {
        done.lifted = now();
        queue.push({ id: `${set.start}-${next.index}`, name: next.step.name, start: done.entered, lifted: done.lifted,
          steel: { text: next.step.steel + (next.step.finish ? `, ${next.step.finish}` : ""), name: next.step.steel, finish: next.step.finish },
          part: next.step.part, target: next.step.target, readings: [[done.entered, plan.bath]], scale: settings.unit });
      } else done.entered = now();
    }
    if (!nextOf().next) { set = null; keepAwake(false); remember(); $("set-steps").replaceChildren(); open("record"); return; }
    remember();
    tick();
  }

  // ---- the clock of the page ----

  let latestSeen = now();
  function tick() {
    const at = now();
    if (at < latestSeen - 2000 && (run || set))
      trouble("clock", "The phone's clock was set back while a dip ran: its times are wrong.");
    latestSeen = at;
    const out = Boolean(run && !run.lifted) && view !== "run";
    $("running").hidden = !out;
    if (out) { const where = whereIs(run, at); if (where) signals(run, where); }
    if (view === "run") renderRun();
    if (view === "set") renderSet();
    else if (set) { const { at: seconds, next } = nextOf(); if (next) setSignals(next, seconds); }
  }

  // ---- wiring ----

  const on = (id, what, then) => $(id).addEventListener(what, then);
  on("tab-choose", "click", () => open(run && !run.lifted ? "run" : inRecord() && !set ? "record" : "choose"));
  on("tab-log", "click", () => open("log"));
  on("tab-set", "click", () => open("set"));
  on("back-to-run", "click", () => open("run"));
  on("unit", "click", () => {
    settings.unit = settings.unit === "F" ? "C" : "F";
    renderUnit(); renderBath(); showReading(); remember();
    if (view !== "run") open(view);
  });
  on("night", "click", () => { settings.dark = !settings.dark; renderUnit(); remember(); });
  on("choices", "submit", (event) => { event.preventDefault(); takeBath(); });
  on("steel", "change", () => {
    const before = data.steels[choice.steel], name = (before.targets[choice.target] || {}).name;
    const part = before.parts[choice.part].name;
    choice.steel = Number($("steel").value);
    const steel = data.steels[choice.steel];
    choice.target = Math.max(0, steel.targets.findIndex((one) => one.name === name));
    choice.part = Math.max(0, steel.parts.findIndex((one) => one.name === part));
    acknowledged.clear();
    renderSteel(); renderUnit(); renderBath(); remember(); renderChoose();
  });
  on("part", "change", () => { choice.part = Number($("part").value); acknowledged.clear(); remember(); renderChoose(); });
  on("choices", "change", (event) => {
    if (event.target.name === "colour") { choice.target = Number(event.target.value); remember(); renderChoose(); }
  });
  on("bath", "input", renderChoose);
  on("bath", "change", takeBath);
  on("bath", "focus", () => $("bath").select());
  on("bath-slider", "input", () => setBath(toKelvin(Number($("bath-slider").value))));
  for (const [id, way] of [["less", -1], ["more", 1]]) {
    on(`bath-${id}`, "click", () => {
      const next = step(choice.bath, way);
      if (weightsAt(next)) setBath(next);
    });
    on(`reading-${id}`, "click", () => {
      const next = step(run.readings[run.readings.length - 1][1], way);
      if (weightsAt(next)) newReading(next);
    });
  }
  on("acknowledge", "click", () => { acknowledged.add(toAcknowledge); renderChoose(); $("start").focus(); });
  on("start", "click", () => {
    const steel = data.steels[choice.steel], target = steel.targets[choice.target];
    startRun(steel.parts[choice.part], steel, target && target.name, choice.bath);
    showReading();
  });
  on("reading", "change", takeReading);
  on("reading", "focus", () => $("reading").select());
  on("lifted", "click", liftRun);
  on("abandon", "click", () => ask("Stop the clock and keep no record of this dip?", "Stop it", "Go on", () => { run = null; keepAwake(false); remember(); open("choose"); }));
  on("resume", "click", () => { run.lifted = null; remember(); keepAwake(true); showReading(); open("run"); });
  on("discard", "click", () => ask("Keep no record of this dip?", "No record", "Go back", () => {
    if (inRecord() === run) stopRun(); else { queue.shift(); remember(); nextRecord(); }
  }));
  for (const id of ["seen", "seen-2"])
    on(id, "change", () => { $("keep").disabled = false; $("keep").textContent = "Keep this coupon"; });
  on("note", "input", () => { const one = inRecord(); if (one) { one.note = $("note").value; remember(); } });
  on("keep", "click", keep);
  on("export", "click", exportCsv);
  on("share", "click", shareCsv);
  on("clear", "click", clearLog);
  on("confirm-yes", "click", () => answer(true));
  on("confirm-no", "click", () => answer(false));
  on("confirm", "keydown", (event) => {
    if (event.key === "Escape") answer(false);
    if (event.key === "Tab") { event.preventDefault(); $(document.activeElement === $("confirm-no") ? "confirm-yes" : "confirm-no").focus(); }
  });
  on("set-next", "click", setNext);
  on("set-acknowledge", "click", () => { acknowledged.add(pending(cautionsOf(plan.cautions), "set")); renderSet(); });
  on("set-stop", "click", () => ask("Stop the set? What is lifted can still be recorded.", "Stop it", "Go on", () => {
    set = null; keepAwake(false); remember(); $("set-steps").replaceChildren(); open(queue.length ? "record" : "set");
  }));
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    if ((run && !run.lifted) || set) keepAwake(true);
    tick();
  });
  window.addEventListener("storage", (event) => {
    if (event.key !== COUPONS) return;
    coupons = load(COUPONS, []);
    if (view === "log") renderLog(); else renderCount();
  });
  window.addEventListener("beforeunload", (event) => {
    if (troubles.has("storage") && (coupons.some((one) => !one.exported) || run)) event.preventDefault();
  });

  function begin() {
    const before = kept.choice || {}, at = (list, name, key) => Math.max(0, list.findIndex((one) => one[key] === name));
    choice.steel = at(data.steels, before.steel, "text");
    const steel = data.steels[choice.steel];
    choice.part = at(steel.parts, before.part, "name");
    const blue = steel.targets.findIndex((one) => one.name === "blue");
    const named = steel.targets.findIndex((one) => one.name === before.target);
    choice.target = named >= 0 ? named : Math.max(0, blue);
    if (settings.dark === undefined) settings.dark = window.matchMedia("(prefers-color-scheme: dark)").matches;
    const middle = toKelvin(Math.round(toUnit((steel.low + steel.high) / 2) / 10) * 10);
    choice.bath = weightsAt(before.bath) ? before.bath : weightsAt(middle) ? middle : data.baths[Math.floor(data.baths.length / 2)];
    $("tab-set").hidden = !plan;
    if (plan) listCautions($("set-case"), ofKind(cautionsOf(plan.cautions), "case"));
    if (set && !plan) { set = null; trouble("set", "A set was running on another page; this one has no plan of it."); }
    if (!steel.targets.length || steel.parts.every((part) => part.targets.every((target) => target.chance.every((one) => one === null))))
      trouble("none", "No colour of this steel is in reach in the baths of this page. The clock works without a forecast.");
    renderSteel(); renderUnit(); renderBath(); renderCount(); showReading();
    if (run && !run.lifted && !planOf(run) && run.target)
      trouble("run", "A dip was started on a page with other steels: its clock goes on without a forecast.");
    store(STATE, { ...kept });
    open(run && !run.lifted ? "run" : set ? "set" : inRecord() ? "record" : "choose");
    if ((run && !run.lifted) || set) {
      keepAwake(true);
      if (navigator.userActivation && !navigator.userActivation.hasBeenActive)
        trouble("sound", "Tap the page once: until then it makes no sound.");
    }
    setInterval(tick, 200);
  }
  // For tests, and for whoever wants the numbers: forecast of a steel, part and target by their places, and a bath in K.
  window.bench = {
    data,
    forecast: (steel, part, target, kelvin) => {
      const found = forecast(data.steels[steel], data.steels[steel].parts[part], target, kelvin);
      if (found) delete found.curve;
      return found;
    },
    where: () => { const found = run && whereIs(run, now()); return found && { film: found.film, earliest: found.earliest, best: found.best, latest: found.latest }; },
    csv, signals: () => run && [...run.signalled],
  };
  begin();
})();
