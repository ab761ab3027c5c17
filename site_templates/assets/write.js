/* The form for the keeper: entries are written, checked and kept on this device, then handed over.
   In this order: quantities, YAML, ZIP, dates of photos, what is kept, the form, handing over. */
(function () {
  "use strict";
  const root = document.getElementById("jw");
  if (!root) return;
  const facts = JSON.parse(document.getElementById("jw-facts").textContent);
  const KEY = `journal-write:${location.pathname.replace(/index\.html$/, "")}`;
  const LONGEST_SIDE = 2048, QUALITY = 0.85;

  /* --- Quantities, read as `journal-tools check` reads them ---------------------------------- */

  const NUMBER = "[-+]?(?:\\d+(?:[.,]\\d+)?|[.,]\\d+)(?:[eE][-+]?\\d+)?";
  const SIGN = "<|>|≤|≥|below\\b|above\\b|under\\b|over\\b";
  const QUANTITY = new RegExp(
    `^\\s*(${SIGN})?\\s*(${NUMBER})\\s*(?:(?:±|\\+/-|\\+-)\\s*(${NUMBER})\\s*(%(?=\\s*\\S|\\s*$))?)?\\s*([^]*?)\\s*$`, "i");

  class Fault extends Error {}

  function plainUnit(text) {
    return text.replace(/[µμ]/g, "μ").replace(/³/g, "3").replace(/²/g, "2").replace(/°/g, "")
      .trim().replace(/\s+/g, " ").toLowerCase().replace(/ \/ /g, "/");
  }

  /* "8,20" → "8.20"; a comma that may part thousands is not guessed at. */
  function numberText(written, whole) {
    if (/^[-+]?[1-9]\d{0,2},\d{3}$/.test(written)) {
      const plain = written.replace(",", "");
      throw new Fault(`“${whole}” can be read in two ways: ${plain} or ${written.replace(",", ".")}. `
        + `Write ${plain} without the comma, or a decimal point.`);
    }
    return written.replace(",", ".").replace(/^\+/, "").replace(/^(-?)\./, "$10.");
  }

  /* Gives the text that goes into the entry: a bare number, or text with sign, error and unit. */
  function quantity(written, kind, sign = "") {
    const whole = written.trim();
    const found = QUANTITY.exec(whole);
    if (!found) throw new Fault(`“${whole}” is not a number. Write a number, such as “12 ${kind.unit}”.`);
    const limit = sign || ({ "<": "<", "≤": "<", below: "<", under: "<", ">": ">", "≥": ">", above: ">", over: ">" })[(found[1] || "").toLowerCase()] || "";
    if (limit && !kind.limit) {
      throw new Fault(`“${whole}” is a limit; a number is wanted here. Write the number itself, without the sign.`);
    }
    const number = numberText(found[2], whole);
    const error = found[3] === undefined ? "" : numberText(found[3], whole);
    if (error.startsWith("-")) throw new Fault(`The error in “${whole}” is not possible.`);
    let percent = found[4] || "", unit = found[5];
    if (percent && !unit && kind.limits["%"]) [percent, unit] = ["", "%"];
    const range = kind.limits[plainUnit(unit || kind.bare)];
    if (!range) {
      throw new Fault(`The unit “${unit}” is not known for ${kind.label.replace(/^An? /, "a ").toLowerCase()}. Use ${kind.unit}.`);
    }
    const value = Number(number);
    if (!(value >= range[0] && value <= range[1]) || (kind.more && value === 0)) {
      throw new Fault(`${kind.label} of “${whole}” is outside what can be (${kind.range}). Check the decimal point and the unit.`);
    }
    if (!limit && !error && !unit) return { number };
    const spread = error ? ` ± ${error}${percent ? " %" : ""}` : "";
    return { text: `${limit}${number}${spread}${unit ? ` ${unit}` : ""}` };
  }

  function count(written) {
    if (!/^\d+$/.test(written) || Number(written) < 1 || Number(written) > 10000) {
      throw new Fault(`“${written}” is not a number of animals. Write a whole number such as 2.`);
    }
    return { number: String(Number(written)) };
  }

  function money(written) {
    const found = /^(\d{1,12}(?:[.,]\d{1,2})?)\s*([A-Za-z]{3})?$/.exec(written);
    if (!found) throw new Fault(`“${written}” is not an amount of money. Write a number such as 54.90.`);
    if (found[2] && found[2].toUpperCase() !== facts.currency) {
      throw new Fault(`“${written}” is not in ${facts.currency}, the journal's currency. Convert it.`);
    }
    return { number: found[1].replace(",", ".") };
  }

  function fieldValue(kind, written) {
    if (kind === "text" || kind === "choice") return { text: written };
    if (kind === "count") return count(written);
    if (kind === "money") return money(written);
    return quantity(written, facts.kinds[kind]);
  }

  /* --- YAML ---------------------------------------------------------------------------------- */

  const WORDS = /^(y|n|yes|no|on|off|true|false|null|inf|nan)$/i;

  function scalar(value) {
    if (value.number !== undefined) return value.number;
    const text = whole(value.text);
    if (/^[A-Za-z][\w .()/%'+-]*$/.test(text) && !/[\s]$/.test(text) && !WORDS.test(text)) return text;
    if (/^<?\d[\w .()/%+-]*$/.test(text) && /[A-Za-z<]/.test(text) && !/^[\d.]+e[-+\d]*$/i.test(text)) return text;
    return JSON.stringify(text).replace(/[\u007f-\u009f\u2028\u2029\ufeff\ufffe\uffff]/g,
      (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`);
  }

  /* Half of a pair of code units cannot be written as UTF-8. */
  function whole(text) { return text.replace(/\p{Surrogate}/gu, "\ufffd"); }

  function inline(value) {
    if (value.text !== undefined || value.number !== undefined) return scalar(value);
    return `{${Object.entries(value).map(([key, item]) => `${key}: ${inline(item)}`).join(", ")}}`;
  }

  function notesLines(notes) {
    const text = whole(notes).replace(/\r\n?/g, "\n").replace(/^\n+|\s+$/g, "");
    // A block gives back every sign but invisible ones, which only quotes can hold.
    const fits = !/^[ \t]/.test(text) && !/[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u2028\u2029\ufeff\ufffe\uffff]/.test(text);
    if (!fits) return [`notes: ${scalar({ text: text.trim() })}`];
    return ["notes: |", ...text.split("\n").map((line) => (line ? `  ${line}` : ""))];
  }

  /* An entry is {date, time, title, readings: {name: value}, lists: {section: [value]}, …}. */
  function yaml(entry) {
    const lines = [`date: ${entry.date}`];
    if (entry.time) lines.push(`time: "${entry.time}"`);
    if (entry.title) lines.push(`title: ${scalar({ text: entry.title })}`);
    const readings = Object.entries(entry.readings);
    if (readings.length) lines.push("readings:", ...readings.map(([n, v]) => `  ${n}: ${scalar(v)}`));
    for (const [section, items] of Object.entries(entry.lists)) {
      if (items.length) lines.push(`${section}:`, ...items.map((item) => `  - ${inline(item)}`));
    }
    if (entry.notes) lines.push(...notesLines(entry.notes));
    if (entry.question) lines.push("questions:", `  - ${scalar({ text: entry.question })}`);
    return `${lines.join("\n")}\n`;
  }

  /* --- ZIP: files stored one after another, then their list (APPNOTE 6.3, 4.3) ----------------- */

  const CRC = Uint32Array.from({ length: 256 }, (_, n) => {
    let c = n;
    for (let bit = 0; bit < 8; bit += 1) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
    return c >>> 0;
  });

  function crc32(bytes) {
    let c = 0xffffffff;
    for (const byte of bytes) c = CRC[(c ^ byte) & 255] ^ (c >>> 8);
    return (c ^ 0xffffffff) >>> 0;
  }

  function record(signature, fields) {
    const size = fields.reduce((sum, [width]) => sum + width, 4);
    const view = new DataView(new ArrayBuffer(size));
    view.setUint32(0, signature, true);
    let at = 4;
    for (const [width, value] of fields) {
      if (width === 2) view.setUint16(at, value, true); else view.setUint32(at, value, true);
      at += width;
    }
    return new Uint8Array(view.buffer);
  }

  function zip(files, now = new Date()) {
    const time = (now.getHours() << 11) | (now.getMinutes() << 5) | (now.getSeconds() >> 1);
    const day = (Math.max(0, now.getFullYear() - 1980) << 9) | ((now.getMonth() + 1) << 5) | now.getDate();
    const parts = [], list = [];
    let offset = 0;
    for (const { name, bytes } of files) {
      const title = new TextEncoder().encode(name);
      const shared = [[2, 20], [2, 0x0800], [2, 0], [2, time], [2, day], [4, crc32(bytes)],
        [4, bytes.length], [4, bytes.length], [2, title.length], [2, 0]];
      const head = record(0x04034b50, shared);
      parts.push(head, title, bytes);
      list.push(record(0x02014b50, [[2, 20], ...shared, [2, 0], [2, 0], [2, 0], [4, 0], [4, offset]]), title);
      offset += head.length + title.length + bytes.length;
    }
    const size = list.reduce((sum, part) => sum + part.length, 0);
    const end = record(0x06054b50, [[2, 0], [2, 0], [2, files.length], [2, files.length], [4, size], [4, offset], [2, 0]]);
    return new Blob([...parts, ...list, end], { type: "application/zip" });
  }

  /* --- The day on which a photo was taken (Exif 2.32, tags 0x9003, 0x9004, 0x0132) -------------- */

  function exifDay(buffer) {
    try {
      const view = new DataView(buffer);
      if (view.getUint16(0) !== 0xffd8) return "";
      let at = 2;
      while (view.getUint8(at) === 0xff && view.getUint8(at + 1) !== 0xda) {
        if (view.getUint16(at) === 0xffe1 && view.getUint32(at + 4) === 0x45786966) return tiffDay(view, at + 10);
        at += 2 + view.getUint16(at + 2);
      }
      return "";
    } catch (error) {
      if (error instanceof RangeError) return "";
      throw error;
    }
  }

  function tiffDay(view, start) {
    const little = view.getUint16(start) === 0x4949;
    const fields = (offset) => {
      const found = new Map();
      const number = view.getUint16(start + offset, little);
      for (let i = 0; i < number; i += 1) {
        const at = start + offset + 2 + 12 * i;
        found.set(view.getUint16(at, little), view.getUint32(at + 8, little));
      }
      return found;
    };
    const first = fields(view.getUint32(start + 4, little));
    const details = first.has(0x8769) ? fields(first.get(0x8769)) : new Map();
    for (const offset of [details.get(0x9003), details.get(0x9004), first.get(0x0132)]) {
      if (offset === undefined) continue;
      const text = String.fromCharCode(...new Uint8Array(view.buffer, start + offset, 10));
      const found = /^((?:19[5-9]|20)\d+)[:/.-](\d\d)[:/.-](\d\d)$/.exec(text);
      if (found && isDay(`${found[1]}-${found[2]}-${found[3]}`)) return `${found[1]}-${found[2]}-${found[3]}`;
    }
    return "";
  }

  function isDay(text) {
    const day = new Date(`${text}T00:00:00Z`);
    return /^\d{4}-\d\d-\d\d$/.test(text) && !Number.isNaN(day.getTime()) && day.toISOString().startsWith(text);
  }

  function localDay(date) {
    const pad = (n) => String(n).padStart(2, "0");
    return `${date.getFullYear()}-${pad(date.getMonth() + 1)}-${pad(date.getDate())}`;
  }

  function localTime(date) { return `${String(date.getHours()).padStart(2, "0")}:${String(date.getMinutes()).padStart(2, "0")}`; }

  async function takenOn(file) {
    return exifDay(await file.slice(0, 262144).arrayBuffer()) || localDay(new Date(file.lastModified));
  }

  /* Drawing a picture anew leaves everything behind that the camera wrote beside the pixels. */
  async function smaller(file) {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    const pen = canvas.getContext("2d");
    pen.fillStyle = "white";
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
    return blob.arrayBuffer();
  }

  /* --- What is kept on this device ------------------------------------------------------------- */

  let memory = null; // photos, where the browser gives no database (private windows)

  function database() {
    return new Promise((done, fail) => {
      const request = indexedDB.open(KEY, 1);
      request.onupgradeneeded = () => request.result.createObjectStore("photos");
      request.onsuccess = () => done(request.result);
      request.onerror = () => fail(request.error);
    });
  }

  async function photoStore(mode, act) {
    if (!memory) {
      try {
        const db = await database();
        return await new Promise((done, fail) => {
          const move = db.transaction("photos", mode);
          const request = act(move.objectStore("photos"));
          move.oncomplete = () => { db.close(); done(request.result); };
          move.onabort = () => { db.close(); fail(move.error); };
        });
      } catch (error) {
        if (error && error.name === "QuotaExceededError") throw error;
        memory = new Map();
      }
    }
    return act({ put: (value, id) => ({ result: void memory.set(id, value) }), get: (id) => ({ result: memory.get(id) }), delete: (id) => ({ result: void memory.delete(id) }) }).result;
  }

  const putPhoto = (id, bytes) => photoStore("readwrite", (s) => s.put(bytes, id));
  const getPhoto = (id) => photoStore("readonly", (s) => s.get(id));
  const dropPhotos = (photos) => Promise.all(photos.map((p) => photoStore("readwrite", (s) => s.delete(p.id))));

  function stored(part, fallback) {
    try { return JSON.parse(localStorage.getItem(`${KEY}:${part}`)) || fallback; } catch (error) { return fallback; }
  }

  function store(part, value) {
    try {
      localStorage.setItem(`${KEY}:${part}`, JSON.stringify(value));
    } catch (error) {
      say("This browser keeps nothing: hand the entry over before you close the page.");
    }
  }

  /* --- The form -------------------------------------------------------------------------------- */

  const form = root.querySelector("form");
  const all = (selector, within = root) => [...within.querySelectorAll(selector)];
  const own = (name) => form.querySelector(`[data-entry="${name}"]`);
  const photoPart = form.querySelector("[data-photos]");
  let kept = stored("kept", []);
  let faults = 0;

  function say(words) { root.querySelector("[data-said]").textContent = words; }

  function tell(input, words) {
    const place = input.closest(".jw-field, .jw-reading") || input;
    let note = place.querySelector(".jw-fault");
    if (!words) {
      if (note) note.remove();
      all(".jw-input", place).forEach((one) => { one.removeAttribute("aria-invalid"); one.removeAttribute("aria-describedby"); });
      return;
    }
    if (!note) {
      note = document.createElement("span");
      note.className = "jw-fault";
      faults += 1;
      note.id = `jw-fault-${faults}`;
      place.append(note);
    }
    note.textContent = words;
    input.setAttribute("aria-invalid", "true");
    input.setAttribute("aria-describedby", note.id);
  }

  /* Runs one reading of a field; a fault is told beside it and counted. */
  function tried(input, act, found) {
    try {
      const value = act();
      tell(input, "");
      return value;
    } catch (error) {
      if (!(error instanceof Fault)) throw error;
      tell(input, error.message);
      found.push(input);
      return undefined;
    }
  }

  function readingOf(row, found) {
    const input = row.querySelector('[data-key="value"]'), limit = row.querySelector('[data-key="limit"]');
    return tried(input, () => {
      if (!input.value.trim()) {
        if (limit.value) throw new Fault("Write the number of the limit, or set it back to “=”.");
        return undefined;
      }
      return quantity(input.value, facts.tests[row.dataset.parameter], limit.value);
    }, found);
  }

  function fieldOf(input, found) {
    return tried(input, () => {
      const text = input.value.trim();
      if (text) return fieldValue(input.dataset.kind, text);
      if (input.hasAttribute("data-needed")) throw new Fault("This is needed. Fill it in, or remove the line.");
      return undefined;
    }, found);
  }

  const SHORT = { water_change: "volume", top_off: "volume", feed: "what", upkeep: "task" };

  function rowOf(row, section, found) {
    const item = {};
    for (const input of all("[data-key]", row)) {
      const value = fieldOf(input, found);
      if (value !== undefined) item[input.dataset.key] = value;
    }
    if (item.event && item.name) {
      const { event, name, note, ...rest } = item;
      const more = note ? (event.text === "changed" ? { to: note } : { note }) : {};
      return { [event.text]: name, ...rest, ...more };
    }
    const short = SHORT[section];
    return short && Object.keys(item).length === 1 && item[short] ? item[short] : item;
  }

  const SECTIONS = ["doses", "water_change", "top_off", "livestock", "equipment", "upkeep", "feed", "costs"];
  const partOf = (section) => form.querySelector(`[data-section="${section}"]`);
  const rowsOf = (part) => all("[data-rows] > .jw-row", part);

  function photoItem(photo, day) {
    const item = { file: { text: photo.id } };
    for (const key of ["view", "caption"]) if (photo[key]) item[key] = { text: photo[key] };
    if (photo.taken && photo.taken !== day) item.taken = { text: photo.taken };
    return Object.keys(item).length === 1 ? item.file : item;
  }

  /* Gives the entry and the fields that are not right. */
  function collected() {
    const found = [], readings = {}, lists = {};
    for (const row of all(".jw-reading", form)) {
      const value = readingOf(row, found);
      if (value !== undefined) readings[row.dataset.parameter] = value;
    }
    for (const section of SECTIONS) {
      const ticked = section === "upkeep" ? all("[data-task]:checked", form).map((box) => ({ text: box.dataset.task })) : [];
      lists[section] = [...ticked, ...rowsOf(partOf(section)).map((row) => rowOf(row, section, found))];
    }
    const date = own("date").value, values = formValues();
    lists.photos = values.photos.map((photo) => photoItem(photo, date));
    tried(own("date"), () => {
      if (!isDay(date)) throw new Fault("Choose the day.");
      if (date > localDay(new Date())) throw new Fault(`The date ${date} is in the future. Correct it.`);
      if (date < "1950") throw new Fault(`The date ${date} is too long ago. Correct it.`);
    }, found);
    const entry = { date, time: own("time").value.slice(0, 5), title: own("title").value.trim(), readings, lists,
      notes: own("notes").value.trim() ? own("notes").value : "", question: own("question").value.trim() };
    const something = entry.title || entry.notes || entry.question || Object.keys(readings).length
      || Object.values(lists).some((items) => items.length);
    return { entry, found, something, values };
  }

  /* What stands in the fields, as it was typed: a draft must come back as it was. */
  function formValues() {
    const values = { readings: {}, rows: {}, tasks: all("[data-task]:checked", form).map((box) => box.dataset.task), photos: [] };
    for (const input of all("[data-entry]", form)) values[input.dataset.entry] = input.value;
    for (const row of all(".jw-reading", form)) {
      const [limit, value] = ["limit", "value"].map((key) => row.querySelector(`[data-key="${key}"]`).value);
      if (limit || value) values.readings[row.dataset.parameter] = { limit, value };
    }
    const typed = (row) => Object.fromEntries(all("[data-key]", row).map((input) => [input.dataset.key, input.value]));
    for (const section of SECTIONS) values.rows[section] = rowsOf(partOf(section)).map(typed);
    values.photos = rowsOf(photoPart).map((row) => ({ id: row.dataset.id, taken: row.dataset.taken, ...typed(row) }));
    return values;
  }

  function fill(values) {
    for (const input of all("[data-entry]", form)) input.value = values[input.dataset.entry] || "";
    for (const row of all(".jw-reading", form)) {
      const told = (values.readings || {})[row.dataset.parameter] || { limit: "", value: "" };
      for (const key of ["limit", "value"]) row.querySelector(`[data-key="${key}"]`).value = told[key];
      tell(row.querySelector('[data-key="value"]'), "");
    }
    for (const box of all("[data-task]", form)) box.checked = (values.tasks || []).includes(box.dataset.task);
    for (const section of SECTIONS) {
      rowsOf(partOf(section)).forEach((row) => row.remove());
      for (const told of (values.rows || {})[section] || []) fillRow(addRow(partOf(section)), told);
    }
    rowsOf(photoPart).forEach((row) => row.remove());
    for (const photo of values.photos || []) showPhoto(photo);
    tell(own("date"), "");
    counts();
  }

  function fillRow(row, told) {
    for (const input of all("[data-key]", row)) if (told[input.dataset.key] !== undefined) input.value = told[input.dataset.key];
  }

  function fresh() {
    const now = new Date();
    fill({ date: localDay(now), time: localTime(now) });
    all("details.jw-part", form).forEach((part) => { part.open = part.hasAttribute("data-readings"); });
  }

  function addRow(part) {
    const row = part.querySelector("template").content.firstElementChild.cloneNode(true);
    part.querySelector("[data-rows]").append(row);
    return row;
  }

  function counts() {
    for (const part of all("details.jw-part", form)) {
      const filled = part.hasAttribute("data-readings") ? all('[data-key="value"]', part).filter((i) => i.value.trim()).length
        : part.hasAttribute("data-words") ? all("[data-entry]", part).filter((i) => i.value.trim()).length
          : rowsOf(part).length + all("[data-task]:checked", part).length;
      part.querySelector("[data-count]").textContent = filled ? `(${filled})` : "";
    }
  }

  let timer = 0;
  function changed() {
    counts();
    clearTimeout(timer);
    timer = setTimeout(saveDraft, 300);
  }
  function saveDraft() {
    clearTimeout(timer);
    store("draft", formValues());
  }

  async function showPhoto(photo) {
    const row = addRow(photoPart);
    row.dataset.id = photo.id;
    row.dataset.taken = photo.taken;
    fillRow(row, photo);
    const canvas = row.querySelector("canvas");
    canvas.setAttribute("aria-label", `Photo taken on ${photo.taken}`);
    const bytes = await getPhoto(photo.id);
    if (!bytes) {
      row.remove();
      say("A photo of the draft is gone from this device. Choose it again.");
      return;
    }
    const picture = await createImageBitmap(new Blob([bytes], { type: "image/jpeg" }));
    const scale = Math.min(canvas.width / picture.width, canvas.height / picture.height);
    const [width, height] = [picture.width * scale, picture.height * scale];
    canvas.getContext("2d").drawImage(picture, (canvas.width - width) / 2, (canvas.height - height) / 2, width, height);
    picture.close();
  }

  async function addPhotos(files) {
    for (const file of files) {
      try {
        say(`Making ${file.name} smaller …`);
        const [taken, bytes] = [await takenOn(file), await smaller(file)];
        const mark = Array.from(crypto.getRandomValues(new Uint8Array(4)), (n) => n.toString(16).padStart(2, "0")).join("");
        const photo = { id: `${taken}-${mark}.jpg`, taken };
        await putPhoto(photo.id, bytes);
        await showPhoto(photo);
        say("");
      } catch (error) {
        say(error.name === "QuotaExceededError" ? "There is no room left on this device: hand over what is written."
          : `“${file.name}” is no picture that this browser can read. Choose a JPEG.`);
      }
    }
    counts();
    saveDraft();
  }

  /* --- Keeping and handing over ---------------------------------------------------------------- */

  function keep() {
    const { entry, found, something, values } = collected();
    if (found.length) {
      for (let part = found[0].closest("details"); part; part = part.parentElement.closest("details")) part.open = true;
      found[0].focus();
      say(found.length === 1 ? "One field is not right yet." : `${found.length} fields are not right yet.`);
      return;
    }
    if (!something) {
      say("Nothing is filled in yet.");
      return;
    }
    kept.push({ values, text: yaml(entry), date: entry.date, time: entry.time, told: summary(entry) });
    kept.sort((a, b) => `${a.date} ${a.time}`.localeCompare(`${b.date} ${b.time}`));
    store("kept", kept);
    fresh();
    saveDraft();
    say("");
    list();
    root.querySelector("#jw-kept").focus();
  }

  function summary(entry) {
    const named = (number, one, many) => (number ? [`${number} ${number === 1 ? one : many}`] : []);
    const others = Object.entries(entry.lists).filter(([s]) => s !== "photos").reduce((sum, [, items]) => sum + items.length, 0);
    return [...(entry.title ? [entry.title] : []), ...named(Object.keys(entry.readings).length, "reading", "readings"),
      ...named(others, "other fact", "other facts"), ...named(entry.lists.photos.length, "photo", "photos"),
      ...(entry.notes ? ["notes"] : []), ...(entry.question ? ["a question"] : [])].join(", ");
  }

  function button(words, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "jw-button jw-button--quiet";
    made.textContent = words;
    made.addEventListener("click", act);
    return made;
  }

  function list() {
    const place = root.querySelector("[data-list]");
    place.replaceChildren(...kept.map((one) => {
      const item = document.createElement("li");
      const when = document.createElement("strong");
      when.textContent = `${one.date} ${one.time}`.trim();
      const told = document.createElement("span");
      told.textContent = `${one.told}${one.handed ? " – handed over" : ""}`;
      const tools = document.createElement("div");
      tools.className = "jw-actions";
      tools.append(button("Copy as text", () => copy(one)), button("Change", () => change(one)), button("Remove", () => removeEntry(one)));
      item.append(when, " ", told, tools);
      return item;
    }));
    root.querySelector("[data-kept]").hidden = kept.length === 0;
    root.querySelector('[data-do="clear"]').hidden = !kept.some((one) => one.handed);
  }

  async function copy(one) {
    try {
      await navigator.clipboard.writeText(one.text);
      say("Copied. Photos are not in the text: they go by ZIP file.");
    } catch (error) {
      say("This browser does not let the page copy. Download the ZIP file instead.");
    }
  }

  function change(one) {
    const { something } = collected();
    if (something && !window.confirm("The form is not empty. Put what is in it aside for good?")) return;
    kept = kept.filter((other) => other !== one);
    store("kept", kept);
    fill(one.values);
    saveDraft();
    list();
    own("title").focus();
  }

  async function removeEntry(one) {
    if (!one.handed && !window.confirm("Remove this entry? It has not been handed over.")) return;
    kept = kept.filter((other) => other !== one);
    store("kept", kept);
    await dropPhotos(one.values.photos);
    list();
  }

  async function parcel() {
    const files = [], taken = new Set();
    for (const one of kept) {
      const stem = [one.date, one.time.replace(":", "")].filter(Boolean).join("-");
      let name = stem;
      for (let number = 2; taken.has(name); number += 1) name = `${stem}-${number}`;
      taken.add(name);
      files.push({ name: `log/${name}.yml`, bytes: new TextEncoder().encode(one.text) });
      for (const photo of one.values.photos) {
        const bytes = await getPhoto(photo.id);
        if (bytes) files.push({ name: `photos/${photo.id}`, bytes: new Uint8Array(bytes) });
      }
    }
    const now = new Date();
    const name = `phone-${localDay(now)}-${localTime(now).replace(":", "")}.zip`;
    return new File([zip(files, now)], name, { type: "application/zip" });
  }

  function handed() {
    kept.forEach((one) => { one.handed = true; });
    store("kept", kept);
    list();
  }

  async function download() {
    const file = await parcel(), link = document.createElement("a");
    link.href = URL.createObjectURL(file);
    link.download = file.name;
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    handed();
    say("Check that the file has arrived before you remove the entries here.");
  }

  async function share() {
    const file = await parcel();
    const whole = { files: [file], title: "Journal entries" };
    const words = { title: "Journal entries", text: kept.map((one) => one.text).join("\n") };
    const files = navigator.canShare && navigator.canShare(whole);
    try {
      await navigator.share(files ? whole : words);
      handed();
      say(files ? "" : "Only the text was shared: photos go by ZIP file.");
    } catch (error) {
      if (error.name !== "AbortError") say("Sharing did not work. Download the ZIP file instead.");
    }
  }

  async function clearHanded() {
    if (!window.confirm("Remove the entries that were handed over from this device?")) return;
    const gone = kept.filter((one) => one.handed);
    kept = kept.filter((one) => !one.handed);
    store("kept", kept);
    await Promise.all(gone.map((one) => dropPhotos(one.values.photos)));
    list();
  }

  /* --- Offline --------------------------------------------------------------------------------- */

  async function offline() {
    if (!("serviceWorker" in navigator) || !location.protocol.startsWith("http")) return;
    const shown = root.parentElement.querySelector("[data-offline]");
    const hand = () => navigator.serviceWorker.ready.then((found) => found.active.postMessage({ keep: parts() }));
    navigator.serviceWorker.addEventListener("message", (event) => {
      if (event.data === "kept") shown.textContent = "This page opens without a network, too.";
    });
    navigator.serviceWorker.addEventListener("controllerchange", hand);
    try {
      await navigator.serviceWorker.register(root.dataset.src, { scope: location.pathname.replace(/index\.html$/, "") });
      if (document.readyState !== "complete") await new Promise((done) => addEventListener("load", done, { once: true }));
      await hand();
    } catch (error) {
      shown.textContent = "";
    }
  }

  function parts() {
    const named = all("link[rel=stylesheet], link[rel=icon], script[src], img[src]", document).map((one) => one.href || one.src);
    const asked = performance.getEntriesByType("resource").filter((one) => ["script", "link", "css", "img"].includes(one.initiatorType)).map((one) => one.name);
    return [...new Set([...named, ...asked])].filter((address) => address.startsWith(location.origin));
  }

  function check(input) {
    const row = input.closest(".jw-reading");
    if (row && row.querySelector('[data-key="value"]').value.trim()) readingOf(row, []);
    else if (!row && input.matches(".jw-row [data-key]") && input.value.trim()) fieldOf(input, []);
  }

  /* A message that comes up while a finger is down would move what it is about to press. */
  let pressing = false;
  const waiting = [];
  function calmly(act) { if (pressing) waiting.push(act); else act(); }
  function released() {
    setTimeout(() => {
      pressing = false;
      waiting.splice(0).forEach((act) => act());
    });
  }
  addEventListener("pointerdown", () => { pressing = true; }, true);
  addEventListener("pointerup", released, true);
  addEventListener("pointercancel", released, true);

  root.addEventListener("input", changed);
  root.addEventListener("change", (event) => {
    const input = event.target;
    if (input.matches("[data-file]")) {
      const files = [...input.files];
      input.value = "";
      addPhotos(files);
    } else {
      calmly(() => check(input));
    }
    changed();
  });
  root.addEventListener("click", (event) => {
    const pressed = event.target.closest("button");
    if (!pressed) return;
    if (pressed.hasAttribute("data-add")) {
      addRow(pressed.closest("details")).querySelector("[data-key]").focus();
      changed();
    } else if (pressed.hasAttribute("data-remove")) {
      const row = pressed.closest(".jw-row"), part = row.closest("details");
      if (row.dataset.id) dropPhotos([{ id: row.dataset.id }]);
      row.remove();
      (part.querySelector("[data-add]") || part.querySelector("summary")).focus();
      changed();
    } else if (pressed.dataset.do) {
      ({ zip: download, share, clear: clearHanded })[pressed.dataset.do]();
    }
  });
  form.addEventListener("submit", (event) => { event.preventDefault(); keep(); });
  addEventListener("pagehide", saveDraft);

  const draft = stored("draft", null);
  fresh();
  if (draft) fill(draft);
  list();
  root.querySelector('[data-do="share"]').hidden = !navigator.share;
  root.hidden = false;
  offline();
  window.journalWrite = Object.freeze({ facts, quantity, fieldValue, scalar, yaml, zip, exifDay });
})();
