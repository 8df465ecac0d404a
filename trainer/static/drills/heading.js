// heading: what one raw heading shows.

import { runChoices } from "../frame/choices.js";

runChoices();
