// cause: what went wrong, of those that look alike, and what tells so.

import { runChoices } from "../frame/choices.js";

runChoices();
