DROP TABLE landed_cost_shares;
DROP TABLE landed_costs;
DROP TABLE movement_costs;
