// Attaches every behaviour. The page is whole without any of them.
import "./acts.js";
import "./address.js";
import "./away.js";
import "./blanks.js";
import "./carry.js";
import "./cut.js";
import "./drag.js";
import "./here.js";
import "./kept-sheets.js";
import "./keys.js";
import "./live.js";
import "./order.js";
import "./pencil.js";
import "./print.js";
import "./sketch.js";
import "./upload.js";

document.documentElement.dataset.scripts = "on";
