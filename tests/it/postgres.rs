//! What only PostgreSQL can show: its tables beside SQLite's, a server that goes away, a
//! shop carried over. These tests need a server:
//! `bash tests/with_postgres.sh cargo test --features postgres`.

mod server;
mod tables;
mod transfer;
