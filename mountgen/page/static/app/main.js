// Starts every part of the page. Parts know the state, not each other.

import { startAnswer } from "./answer.js";
import { startBuilds } from "./builds.js";
import { startCharts } from "./charts.js";
import { startChecking } from "./checking.js";
import { startChecks } from "./checks.js";
import { startDraft } from "./draft.js";
import { startForm } from "./form.js";
import { startModelPane } from "./modelpane.js";
import { startPreferences } from "./preferences.js";
import { startPrinting } from "./printing.js";
import { startQuestions } from "./questions.js";
import { startShare } from "./share.js";
import { startSketch } from "./sketch.js";
import { startStart } from "./start.js";
import { startWhatIf } from "./whatif.js";

const PARTS = [
  startPreferences, startForm, startSketch, startChecking, startAnswer, startChecks, startCharts, startModelPane,
  startQuestions, startWhatIf, startBuilds, startShare, startPrinting, startDraft,
];
for (const start of PARTS) start();
await startStart();
