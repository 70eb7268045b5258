-- The shop's printers, which the owner names: nothing is ever sent to any other address.
CREATE TABLE printers (
    id INTEGER NOT NULL PRIMARY KEY,
    name TEXT NOT NULL UNIQUE CHECK (name <> ''),
    uri TEXT NOT NULL CHECK (uri LIKE 'ipp://%' OR uri LIKE 'ipps://%'),
    media TEXT NOT NULL,
    -- SHA-256 of the certificate that an ipps:// printer must show, in hexadecimal digits.
    certificate TEXT CHECK (length(certificate) = 64),
    retired BOOLEAN NOT NULL,
    changed_at TIMESTAMP NOT NULL,
    user_id INTEGER REFERENCES users (id)
);
CREATE INDEX printers_user ON printers (user_id);

-- What a printer is for, and for which papers it is the one that is named first.
CREATE TABLE printer_papers (
    id INTEGER NOT NULL PRIMARY KEY,
    printer_id INTEGER NOT NULL REFERENCES printers (id),
    paper TEXT NOT NULL CHECK (paper IN (
        'part', 'bin', 'two-bin', 'lot', 'serial', 'quarantine', 'bag', 'kit', 'carton',
        'packing-list', 'pick-list', 'assembly-card', 'purchase-order',
        'goods-receipt')),
    is_first BOOLEAN NOT NULL,
    UNIQUE (printer_id, paper)
);
CREATE UNIQUE INDEX printer_papers_first ON printer_papers (paper) WHERE is_first;

-- The queue. An instance of the service takes a job by its claim, which runs out; what was begun
-- may have printed, so that it never waits to be sent again by itself.
CREATE TABLE print_jobs (
    id INTEGER NOT NULL PRIMARY KEY,
    -- Stands in the job's name at the printer, so that it can be found there.
    token TEXT NOT NULL UNIQUE CHECK (length(token) = 16),
    printer_id INTEGER NOT NULL REFERENCES printers (id),
    paper TEXT NOT NULL CHECK (paper IN (
        'part', 'bin', 'two-bin', 'lot', 'serial', 'quarantine', 'bag', 'kit', 'carton',
        'packing-list', 'pick-list', 'assembly-card', 'purchase-order',
        'goods-receipt')),
    title TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN (
        'waiting', 'sending', 'taken', 'printed', 'unsure', 'failed', 'cancelled')),
    words TEXT NOT NULL,
    tries BIGINT NOT NULL CHECK (tries >= 0),
    due_at TIMESTAMP,
    claim TEXT,
    claimed_until TIMESTAMP,
    begun_at TIMESTAMP,
    printer_job BIGINT,
    cancel_wanted BOOLEAN NOT NULL,
    asked_at TIMESTAMP NOT NULL,
    -- None where the command line asked for it.
    user_id INTEGER REFERENCES users (id),
    changed_at TIMESTAMP NOT NULL,
    CHECK ((claim IS NULL) = (claimed_until IS NULL)),
    CHECK (state <> 'sending' OR claim IS NOT NULL),
    CHECK (state <> 'waiting' OR begun_at IS NULL),
    CHECK (state NOT IN ('taken', 'unsure') OR begun_at IS NOT NULL)
);
CREATE INDEX print_jobs_printer ON print_jobs (printer_id, id);
CREATE INDEX print_jobs_user ON print_jobs (user_id);
CREATE INDEX print_jobs_due ON print_jobs (due_at);
CREATE INDEX print_jobs_asked ON print_jobs (asked_at);

-- What is sent, to the byte; it goes when the job has been over for a while.
CREATE TABLE print_documents (
    id INTEGER NOT NULL PRIMARY KEY,
    job_id INTEGER NOT NULL UNIQUE REFERENCES print_jobs (id),
    pdf BLOB NOT NULL
);

-- What a job prints, so that the same asked for again soon is noticed.
CREATE TABLE print_job_subjects (
    id INTEGER NOT NULL PRIMARY KEY,
    job_id INTEGER NOT NULL REFERENCES print_jobs (id),
    subject TEXT NOT NULL,
    UNIQUE (job_id, subject)
);
