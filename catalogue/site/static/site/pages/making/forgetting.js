/* Everything about somebody is erased: pages, answers and words that this phone still kept go as well. */

import { forgetErased } from "./memory.js";

forgetErased();
