-- Whom the shop tells of alerts by itself. An address is never changed: another one is added, and
-- the first is told no more.
CREATE TABLE receivers (
    id INTEGER NOT NULL PRIMARY KEY,
    channel TEXT NOT NULL CHECK (channel IN ('mail', 'webhook')),
    address TEXT NOT NULL CHECK (address <> ''),
    -- What a webhook is signed with, in hexadecimal digits.
    key TEXT CHECK (length(key) = 64),
    retired BOOLEAN NOT NULL,
    changed_at TIMESTAMP NOT NULL,
    user_id INTEGER REFERENCES users (id),
    CHECK ((channel = 'webhook') = (key IS NOT NULL))
);
CREATE INDEX receivers_user ON receivers (user_id);

-- The outbox. An instance of the service takes a message by its claim, which runs out; an e-mail
-- that was begun may have been sent, so that it never waits to be sent again by itself.
CREATE TABLE messages (
    id INTEGER NOT NULL PRIMARY KEY,
    -- By which a receiver knows the message again.
    token TEXT NOT NULL UNIQUE CHECK (length(token) = 32),
    channel TEXT NOT NULL CHECK (channel IN ('mail', 'webhook')),
    address TEXT NOT NULL CHECK (address <> ''),
    -- Whose key signs a webhook.
    receiver_id INTEGER REFERENCES receivers (id),
    subject TEXT NOT NULL CHECK (subject <> ''),
    body TEXT NOT NULL,
    about TEXT NOT NULL CHECK (about <> ''),
    state TEXT NOT NULL CHECK (state IN (
        'waiting', 'sending', 'sent', 'unsure', 'failed', 'given-up')),
    words TEXT NOT NULL,
    tries BIGINT NOT NULL CHECK (tries >= 0),
    due_at TIMESTAMP,
    claim TEXT,
    claimed_until TIMESTAMP,
    begun_at TIMESTAMP,
    queued_at TIMESTAMP NOT NULL,
    -- None where the program queued it by itself.
    user_id INTEGER REFERENCES users (id),
    changed_at TIMESTAMP NOT NULL,
    CHECK ((claim IS NULL) = (claimed_until IS NULL)),
    CHECK (state <> 'sending' OR claim IS NOT NULL),
    CHECK (state <> 'waiting' OR (begun_at IS NULL AND due_at IS NOT NULL)),
    CHECK (state NOT IN ('sent', 'failed', 'given-up', 'unsure') OR due_at IS NULL),
    CHECK (channel <> 'webhook' OR receiver_id IS NOT NULL)
);
CREATE INDEX messages_receiver ON messages (receiver_id);
CREATE INDEX messages_user ON messages (user_id);
CREATE INDEX messages_due ON messages (due_at);
CREATE INDEX messages_state ON messages (state, id);
CREATE INDEX messages_about ON messages (about);

-- What goes with an e-mail, to the byte.
CREATE TABLE message_files (
    id INTEGER NOT NULL PRIMARY KEY,
    message_id INTEGER NOT NULL REFERENCES messages (id),
    name TEXT NOT NULL CHECK (name <> ''),
    media_type TEXT NOT NULL CHECK (media_type <> ''),
    content BLOB NOT NULL
);
CREATE INDEX message_files_message ON message_files (message_id);

-- Alerts that receivers were told of, each once for as long as it stands.
CREATE TABLE told_alerts (
    id INTEGER NOT NULL PRIMARY KEY,
    kit TEXT NOT NULL,
    line BIGINT NOT NULL,
    cause TEXT NOT NULL,
    raised_at TIMESTAMP NOT NULL,
    -- When the alert ended by itself; none while it stands.
    cleared_at TIMESTAMP
);
CREATE UNIQUE INDEX told_alerts_standing ON told_alerts (kit, line, cause) WHERE cleared_at IS NULL;
