"""Computes losses, quantiles and reorder points with scipy: one JSON line for each line of standard
input."""

import json
import sys

from scipy.optimize import brentq
from scipy.stats import norm, poisson


def loss(z):
    return norm.pdf(z) - z * norm.sf(z)


def judge(line):
    kind = line["kind"]
    if kind == "std_normal_loss":
        return {"G": loss(line["z"]), "cdf": norm.cdf(line["z"]), "pdf": norm.pdf(line["z"])}
    if kind == "poisson_loss":
        mean, x = line["mean"], line["x"]
        most = int(mean + 40 * mean**0.5 + 60)
        short = sum((k - x) * poisson.pmf(k, mean) for k in range(x + 1, max(most, x + 60)))
        left = sum((x - k) * poisson.pmf(k, mean) for k in range(x))
        return {"n": short, "complementary": left, "cdf": poisson.cdf(x, mean)}
    mean = line.get("demand_per_period", 0) * line["lead_time"]
    if kind == "reorder_poisson":
        mean = line["mean_per_period"] * line["lead_time"]
        point = int(poisson.ppf(line["cycle_service_level"], mean))
        return {"reorder_point": point, "achieved": poisson.cdf(point, mean)}
    noise = line["lead_time"] * line["sd_per_period"] ** 2
    slip = (line["demand_per_period"] * line["sd_lead_time"]) ** 2
    sd = (noise + slip) ** 0.5
    if kind == "safety_stock_csl":
        z = norm.ppf(line["cycle_service_level"])
    else:
        wanted = (1 - line["fill_rate"]) * line["order_quantity"] / sd
        z = brentq(lambda z: loss(z) - wanted, -wanted - 1, 8, xtol=1e-13)
    return {"sd_ltd": sd, "z": z, "safety_stock": z * sd, "reorder_point": mean + z * sd}


for line in sys.stdin:
    print(json.dumps(judge(json.loads(line))))
