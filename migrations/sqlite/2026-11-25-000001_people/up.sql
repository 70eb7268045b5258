CREATE TABLE users (
    id INTEGER NOT NULL PRIMARY KEY,
    login TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    role TEXT NOT NULL CHECK (role IN ('warehouse', 'receiver', 'buyer', 'owner')),
    password_hash TEXT NOT NULL,
    disabled BOOLEAN NOT NULL DEFAULT FALSE,
    created_at TIMESTAMP NOT NULL
);

CREATE TABLE sessions (
    id INTEGER NOT NULL PRIMARY KEY,
    token_hash TEXT NOT NULL UNIQUE,
    user_id INTEGER NOT NULL REFERENCES users (id),
    csrf TEXT NOT NULL,
    expires_at TIMESTAMP NOT NULL
);
CREATE INDEX sessions_user ON sessions (user_id);

CREATE TABLE device_tokens (
    id INTEGER NOT NULL PRIMARY KEY,
    token_hash TEXT NOT NULL UNIQUE,
    user_id INTEGER NOT NULL REFERENCES users (id),
    device TEXT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    revoked_at TIMESTAMP
);
CREATE INDEX device_tokens_user ON device_tokens (user_id);

CREATE TABLE settings (
    name TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
);

-- The last number given out of each series: kits, cartons, pick lists, purchase orders.
CREATE TABLE counters (
    name TEXT NOT NULL PRIMARY KEY,
    last BIGINT NOT NULL CHECK (last >= 0)
);
