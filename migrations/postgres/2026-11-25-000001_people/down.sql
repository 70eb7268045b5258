DROP TABLE counters;
DROP TABLE settings;
DROP TABLE device_tokens;
DROP TABLE sessions;
DROP TABLE users;
