#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Make the demo trace history.csv. ALL DATA ARE INVENTED: shop, bath, coupon and logger.

A coupon with a thermocouple in it hangs above the bath, is dipped, lifted and quenched in water. The
bath, set to 610 F, is a few degrees low and swings with its controller; the logger writes whole degrees.

    python3 examples/demo/make_history.py > examples/demo/history.csv
"""
import math

ROOM_F, BATH_F, SWING_F = 72.0, 604.0, 5.0
DIP_S, LIFT_S, QUENCH_S, END_S = 6, 76, 80, 96
WARMING_S, AIR_S, WATER_S = 6.0, 90.0, 1.2  # time constants


def bath(time_s: float) -> float:
    """Temperature of the bath, F."""
    return BATH_F + SWING_F * math.sin(2.0 * math.pi * time_s / 45.0)


def main() -> None:
    print("# invented: a coupon in a bath set to 610 F, dipped at 6 s, quenched at 80 s")
    print("time_s,temperature_F")
    now_f, step_s = ROOM_F, 0.01
    for tick in range(END_S * 100 + 1):
        time_s = tick * step_s
        if tick % 100 == 0:
            print(f"{tick // 100},{now_f:.0f}")
        if DIP_S <= time_s < LIFT_S:
            now_f += step_s / WARMING_S * (bath(time_s) - now_f)
        elif time_s >= LIFT_S:
            now_f += step_s / (AIR_S if time_s < QUENCH_S else WATER_S) * (ROOM_F - now_f)


if __name__ == "__main__":
    main()
