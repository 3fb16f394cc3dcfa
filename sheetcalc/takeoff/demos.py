"""The demo job of each unit system."""

from sheetcalc.takeoff.demo import DEMO as US
from sheetcalc.takeoff.demo_metric import DEMO as METRIC

DEMOS = {"us": US, "metric": METRIC}
