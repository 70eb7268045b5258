-- The orders that somebody chose to be served first, because the stock lets them leave whole. An order
-- without a row waits for its turn by its promised day.
CREATE TABLE leaving_orders (
    id INTEGER NOT NULL PRIMARY KEY,
    order_id INTEGER NOT NULL UNIQUE REFERENCES orders (id),
    chosen_at TIMESTAMP NOT NULL,
    chosen_by INTEGER REFERENCES users (id)
);
CREATE INDEX leaving_orders_chosen_by ON leaving_orders (chosen_by);
