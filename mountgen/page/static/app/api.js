// Talks to the server. A refusal comes back as `Refused` with its faults; anything else is an `Error`.

export class Refused extends Error {
  /** @param {{where: string, key?: string, found: string, expected: string, action: string}[]} faults */
  constructor(faults) {
    super(faults.map(faultText).join("\n"));
    this.faults = faults;
  }
}

/** A fault as one line of text. */
export function faultText(fault) {
  const parts = [fault.found, fault.expected && `expected ${fault.expected}`, fault.action];
  return parts.filter(Boolean).join("; ");
}

export const getJson = async (path) => (await answer(path, {})).json();

export const getText = async (path) => (await answer(path, {})).text();

/** @param {AbortSignal} [signal] cancels a request that is no longer wanted */
export async function postJson(path, body, signal) {
  return (await post(path, body, signal)).json();
}

export const postBlob = async (path, body) => (await post(path, body)).blob();

export const remove = (path) => answer(path, { method: "DELETE" });

function post(path, body, signal) {
  const headers = { "Content-Type": "application/json" };
  return answer(path, { method: "POST", headers, body: JSON.stringify(body), signal });
}

async function answer(path, options) {
  const response = await fetch(path, options);
  if (response.ok) return response;
  const told = await response.json().catch(() => null);
  if (told?.faults) throw new Refused(told.faults);
  throw new Error(`the server answered ${response.status} to ${path}`);
}
