/* ZIP files made, photos read and made smaller. */
(function (form) {
  "use strict";

  const LONGEST_SIDE = 2048, QUALITY = 0.85;

  /* --- ZIP: files stored one after another, then their list (APPNOTE 6.3, 4.3) --- */

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

  /* --- Photos: the day of one (Exif 2.32, tags 0x9003, 0x9004, 0x0132), and a smaller copy --- */

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

  Object.assign(form, { zip, exifDay, takenOn, smaller, isDay, localDay, localTime });
})(window.journalWrite = window.journalWrite || {});
