// Each change of the survey asks the server for a verdict; an older question is cancelled.

import { postJson, Refused } from "./api.js";
import { asked, listen, state, tell } from "./state.js";

const PAUSE = 40;
/** ms that a change waits for the next one, while a question is under way. */

let underWay = null;
let waiting = 0;
let changedAt = 0;

export function startChecking() {
  listen(["survey"], changed);
}

function changed() {
  changedAt = performance.now();
  clearTimeout(waiting);
  if (underWay) waiting = setTimeout(ask, PAUSE);
  else ask();
}

async function ask() {
  underWay?.abort();
  const mine = new AbortController();
  underWay = mine;
  const since = changedAt;
  tell("asked");
  try {
    take(await postJson("/api/check", asked(), mine.signal));
  } catch (error) {
    if (mine.signal.aborted) return;
    refuse(error);
  }
  if (underWay !== mine) return;
  underWay = null;
  performance.measure("edit to verdict", { start: since });
}

function take(answer) {
  Object.assign(state, { answer, values: answer.values, faults: [] });
  tell("answer");
  tell("faults");
}

function refuse(error) {
  state.faults = error instanceof Refused ? error.faults : [{ where: "server", found: error.message, expected: "", action: "is mountgen still running?" }];
  tell("faults");
}
