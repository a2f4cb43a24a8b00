/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is wider than the page can be scrolled by the keyboard too. */
addEventListener("load", () => {
  for (const one of document.querySelectorAll("pre, .table-wrapper, .math-wrapper"))
    if (one.scrollWidth > one.clientWidth) one.tabIndex = 0;
});
