// Whether this browser can run our other scripts; written so that old ones can read it. Where it cannot, the page works by
// itself: every tap is a form that loads a page. That is told once.
(function () {
  var TOLD = "sewing-room older";
  var WORDS = "This browser is too old for our scripts. All can be counted all the same: each tap loads its page anew, and the computer must be there.";
  // On paper a pass has its steps, closed or not; a browser that shows none of what is closed opens it for that.
  if (!window.CSS || !CSS.supports("selector(::details-content)")) {
    window.addEventListener("beforeprint", function () {
      var closed = document.querySelectorAll(".its-steps");
      for (var k = 0; k < closed.length; k += 1) closed[k].open = true;
    });
  }
  var able = window.SubmitEvent && "submitter" in SubmitEvent.prototype && window.HTMLDialogElement &&
    HTMLDialogElement.prototype.showModal && Array.prototype.at && String.prototype.replaceAll;
  if (able) return;
  document.documentElement.className += " older";
  var swapped = document.querySelectorAll("[hx-get], [hx-post]"); // a plain page goes there by its links and forms
  for (var i = 0; i < swapped.length; i += 1) {
    swapped[i].removeAttribute("hx-get");
    swapped[i].removeAttribute("hx-post");
  }
  var instead = document.querySelectorAll("[data-older]");
  for (var j = 0; j < instead.length; j += 1) instead[j].hidden = false;
  try {
    if (localStorage.getItem(TOLD)) return;
    localStorage.setItem(TOLD, "yes");
  } catch (fault) {
    // nothing is kept here, so it is told on each page
  }
  var place = document.getElementById("screen");
  var notice = document.createElement("p");
  notice.className = "notice";
  notice.appendChild(document.createTextNode(WORDS));
  if (place) place.insertBefore(notice, place.firstChild);
})();
