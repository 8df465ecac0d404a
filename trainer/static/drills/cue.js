// cue: mark where you see it, or say that there is nothing to mark.

import { runChoices } from "../frame/choices.js";

runChoices();
