// pair: which of two look-alikes it is, and what tells so.

import { runChoices } from "../frame/choices.js";

runChoices();
