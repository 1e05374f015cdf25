// The survey in hand, kept in this browser so that a tablet that falls asleep loses nothing.

import { asked, listen, state } from "./state.js";

const KEPT = "mountgen-draft";

export function startDraft() {
  listen(["answer"], () => {
    try {
      localStorage.setItem(KEPT, JSON.stringify(asked()));
    } catch {
      localStorage.removeItem(KEPT); // too large to keep: an older one would be taken for this one
    }
  });
}

/** What was last in hand; null when there is none. */
export function draftKept() {
  const kept = localStorage.getItem(KEPT);
  if (!kept || state.text) return null;
  try {
    return JSON.parse(kept);
  } catch {
    return null; // not written by this page: nothing to go on with
  }
}
