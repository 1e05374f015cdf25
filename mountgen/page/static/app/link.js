// A survey in a link: the text, deflated (RFC 1951) and written in base64url (RFC 4648, section 5), behind "#s=".
// It never leaves the browser: what stands behind # is not sent to a server.

const LONGEST = 2_000_000;

/** The part of a link behind "#s=". */
export async function linkOf(text) {
  const packed = await piped(new Blob([text]), new CompressionStream("deflate-raw"));
  const bytes = Array.from(packed, (byte) => String.fromCharCode(byte)).join("");
  return btoa(bytes).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
}

/** The survey of such a part. Throws on what is none. */
export async function surveyOfLink(part) {
  const bytes = Uint8Array.from(atob(part.replace(/-/g, "+").replace(/_/g, "/")), (letter) => letter.charCodeAt(0));
  return new TextDecoder("utf-8", { fatal: true }).decode(await piped(new Blob([bytes]), new DecompressionStream("deflate-raw")));
}

/** All that comes out of a stream, up to the longest survey. */
async function piped(blob, through) {
  const parts = [];
  let size = 0;
  const reader = blob.stream().pipeThrough(through).getReader();
  for (let next = await reader.read(); !next.done; next = await reader.read()) {
    size += next.value.length;
    if (size > LONGEST) throw new RangeError("longer than any survey");
    parts.push(next.value);
  }
  return new Uint8Array(await new Blob(parts).arrayBuffer());
}
