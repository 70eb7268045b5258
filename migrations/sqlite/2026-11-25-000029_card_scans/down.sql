DROP TABLE card_scans;
