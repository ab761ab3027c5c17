/* An entry as the text of a file. */
(function (form) {
  "use strict";

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

  Object.assign(form, { scalar, yaml });
})(window.journalWrite = window.journalWrite || {});
