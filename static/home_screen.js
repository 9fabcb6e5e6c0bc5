// The address that the icon keeps is the one that stands here when it is made.
"use strict";
history.replaceState(null, "", "/stopped");
