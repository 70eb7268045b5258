DROP TABLE bin_alerts;
DROP TABLE card_scans;
