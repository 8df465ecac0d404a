// change: what the change between two spins proved.

import { runChoices } from "../frame/choices.js";

runChoices();
