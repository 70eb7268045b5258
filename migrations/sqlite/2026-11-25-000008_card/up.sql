-- Tools and drawings of a step; lists are parted by bars.
CREATE TABLE bom_step_aids (
    id INTEGER NOT NULL PRIMARY KEY,
    bom_id INTEGER NOT NULL REFERENCES boms (id),
    step BIGINT NOT NULL CHECK (step > 0),
    tools TEXT NOT NULL,
    drawings TEXT NOT NULL,
    UNIQUE (bom_id, step)
);

CREATE TABLE bom_step_words (
    id INTEGER NOT NULL PRIMARY KEY,
    bom_id INTEGER NOT NULL REFERENCES boms (id),
    step BIGINT NOT NULL CHECK (step > 0),
    language TEXT NOT NULL CHECK (language IN ('de', 'fr')),
    title TEXT NOT NULL,
    check_text TEXT NOT NULL,
    caution TEXT NOT NULL,
    UNIQUE (bom_id, step, language)
);

CREATE TABLE joints (
    id INTEGER NOT NULL PRIMARY KEY,
    bom_id INTEGER NOT NULL REFERENCES boms (id),
    number BIGINT NOT NULL CHECK (number > 0),
    step BIGINT NOT NULL CHECK (step > 0),
    name TEXT NOT NULL,
    bolts BIGINT NOT NULL CHECK (bolts > 0),
    thread TEXT NOT NULL,
    pattern TEXT NOT NULL CHECK (pattern IN ('single', 'alternate', 'cross', 'left-right-left',
        'hold-nut', 'preload')),
    condition TEXT NOT NULL CHECK (condition IN ('dry', 'greased', 'anti-seize', 'threadlocker',
        'patch')),
    set_by_maker BOOLEAN NOT NULL,
    UNIQUE (bom_id, number)
);

CREATE TABLE joint_words (
    id INTEGER NOT NULL PRIMARY KEY,
    joint_id INTEGER NOT NULL REFERENCES joints (id),
    language TEXT NOT NULL CHECK (language IN ('de', 'fr')),
    name TEXT NOT NULL,
    UNIQUE (joint_id, language)
);

-- What documents state about a joint's torque, as they state it.
CREATE TABLE joint_torques (
    id INTEGER NOT NULL PRIMARY KEY,
    joint_id INTEGER NOT NULL REFERENCES joints (id),
    position BIGINT NOT NULL,
    stated TEXT NOT NULL,
    source TEXT NOT NULL CHECK (source <> ''),
    UNIQUE (joint_id, position)
);

-- Torque keys in the kit that turn at one torque only.
CREATE TABLE bom_keys (
    id INTEGER NOT NULL PRIMARY KEY,
    bom_id INTEGER NOT NULL REFERENCES boms (id),
    part_number TEXT NOT NULL,
    stated TEXT NOT NULL,
    source TEXT NOT NULL CHECK (source <> ''),
    UNIQUE (bom_id, part_number)
);

-- A person's word on which of several statements holds. It names the statements that it settled,
-- so that it ends when one of them changes; it outlives the joint's rows, which each import of the
-- bill writes anew.
CREATE TABLE torque_settlements (
    id INTEGER NOT NULL PRIMARY KEY,
    bom_id INTEGER NOT NULL REFERENCES boms (id),
    joint BIGINT NOT NULL,
    statements TEXT NOT NULL,
    held TEXT NOT NULL,
    held_source TEXT NOT NULL,
    reason TEXT NOT NULL CHECK (reason <> ''),
    user_id INTEGER NOT NULL REFERENCES users (id),
    settled_at TIMESTAMP NOT NULL,
    request_key TEXT NOT NULL REFERENCES request_keys (key)
);
CREATE INDEX torque_settlements_bom ON torque_settlements (bom_id);
CREATE INDEX torque_settlements_user ON torque_settlements (user_id);
CREATE INDEX torque_settlements_request ON torque_settlements (request_key);

-- What the catalogue's words are called in other languages.
CREATE TABLE glossary (
    id INTEGER NOT NULL PRIMARY KEY,
    text TEXT NOT NULL,
    language TEXT NOT NULL CHECK (language IN ('de', 'fr')),
    words TEXT NOT NULL CHECK (words <> ''),
    UNIQUE (text, language)
);

CREATE TABLE air_charts (
    id INTEGER NOT NULL PRIMARY KEY,
    code TEXT NOT NULL UNIQUE,
    item TEXT NOT NULL,
    choose TEXT NOT NULL,
    maximum TEXT NOT NULL,
    source TEXT NOT NULL CHECK (source <> '')
);

-- Masses and pressures as the maker states them, with their units.
CREATE TABLE air_chart_rows (
    id INTEGER NOT NULL PRIMARY KEY,
    chart_id INTEGER NOT NULL REFERENCES air_charts (id),
    position BIGINT NOT NULL,
    mass_from TEXT NOT NULL,
    mass_to TEXT NOT NULL,
    pressure TEXT NOT NULL,
    UNIQUE (chart_id, position)
);
