# SPDX-License-Identifier: GPL-3.0-or-later
"""The pictures: charts, curves, maps and the shop sheet; matplotlib is imported when one is drawn."""
