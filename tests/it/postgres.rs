//! What only PostgreSQL can show: its tables beside SQLite's, several instances on one database.
//! These tests need a server: `bash tests/with_postgres.sh cargo test --features postgres`.

mod tables;
