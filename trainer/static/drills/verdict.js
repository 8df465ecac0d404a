// verdict: keep or redo, after a look round one frame.

import { runChoices } from "../frame/choices.js";

runChoices();
