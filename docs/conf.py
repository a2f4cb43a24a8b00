# SPDX-License-Identifier: GPL-3.0-or-later
"""Sphinx reads the pages under docs and makes the reference from headers, docstrings and annotations.

    sphinx-build -W -n --keep-going -b html docs build/docs
"""
import pathlib
import sys

import matplotlib
import oxtint

matplotlib.use("Agg")
sys.path.insert(0, str(pathlib.Path(__file__).parent / "extensions"))
import shop  # noqa: E402 -- found there

project = "oxtint"
version = release = oxtint.__version__
author = "the oxtint authors"
extensions = ["myst_parser", "sphinx_design", "sphinx_copybutton", "matplotlib.sphinxext.plot_directive",
              "sphinx_gallery.gen_gallery", "sphinx.ext.autodoc", "sphinx.ext.napoleon", "reference", "gallery", "schema"]
exclude_patterns = ["extensions", "static", "reference/**.rst"]  # what older versions made there

myst_enable_extensions = ["attrs_inline", "colon_fence", "dollarmath"]
myst_heading_anchors = 3

napoleon_numpy_docstring = False
# As a list: an entry may name several attributes that share a text.
napoleon_custom_sections = [("Attributes", "params_style")]
autodoc_member_order = "bysource"
autodoc_typehints = "none"  # signatures and the text of each argument say it

html_theme = "furo"
html_title = f"oxtint {version}"
html_math_renderer = "mathml"
html_static_path = ["static"]
html_css_files = ["math.css", "pages.css", "gallery.css"]
html_js_files = ["pages.js"]
html_copy_source = html_show_copyright = html_show_sphinx = False
html_show_search_summary = False  # it would be fetched, which a page opened from a folder may not do

copybutton_selector = "div:not(.highlight-text) > div.highlight > pre"  # what is printed needs no button

# Pictures are drawn by the library as the pages are built. In MyST each plot needs a :filename-prefix: of its own.
plot_formats = [("png", 120)]
plot_html_show_formats = plot_html_show_source_link = False
plot_include_source = False
plot_working_directory = str(shop.FOLDER)

# The pictures: programs of examples/gallery, run anew by every build.
sphinx_gallery_conf = {
    "examples_dirs": "../examples/gallery", "gallery_dirs": "gallery", "filename_pattern": r"\.py$",
    "ignore_pattern": r"bands\.py$", "image_scrapers": ("gallery.scraper",), "within_subsection_order": "gallery.Order",
    "notebook_extensions": {}, "show_signature": False,
    "download_all_examples": False, "remove_config_comments": True, "show_memory": False, "min_reported_time": 1e9,
    "write_computation_times": False, "run_stale_examples": True, "abort_on_example_error": True,
}

# What the C library and the interpreter bring along has no page here.
nitpick_ignore = [("c:identifier", name) for name in ("size_t", "ptrdiff_t", "int32_t", "uint32_t", "uint64_t")]
nitpick_ignore_regex = [("py:class", r"(numpy|collections|typing|pathlib|os|matplotlib)\..*")]
