//! Ids of rows: one type each, so that a part is never looked up by the id of a place.

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[derive(diesel::AsExpression, diesel::FromSqlRow)]
        #[diesel(sql_type = diesel::sql_types::BigInt)]
        pub struct $name(i64);

        impl From<i64> for $name {
            fn from(id: i64) -> Self {
                Self(id)
            }
        }

        impl From<$name> for i64 {
            fn from(id: $name) -> i64 {
                id.0
            }
        }

        impl AsRef<i64> for $name {
            fn as_ref(&self) -> &i64 {
                &self.0
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)
            }
        }
    )*};
}

ids! {
    /// A person who may log in.
    UserId;
    /// A supplier.
    SupplierId;
    /// A place, inside the house or outside.
    PlaceId;
    /// A variant of a part: what a part number names.
    VariantId;
    /// A bill of materials.
    BomId;
    /// A customer's order.
    OrderId;
    /// A kit: one bike for one order.
    KitId;
    /// A line of a kit.
    KitLineId;
    /// A carton of a kit.
    CartonId;
    /// A pick list.
    PickListId;
    /// A lot of a variant.
    LotId;
    /// A serial number of a variant.
    SerialId;
    /// A movement in the ledger.
    MovementId;
    /// A purchase order.
    PurchaseOrderId;
    /// A line of a purchase order.
    PurchaseOrderLineId;
    /// A supplier's own code.
    SupplierCodeId;
    /// A printer of the shop.
    PrinterId;
    /// A job in the print queue.
    PrintJobId;
    /// A message of the shop to somebody outside.
    MessageId;
    /// Somebody whom the shop tells of alerts.
    ReceiverId;
    /// A run of the bench.
    BenchRunId;
    /// A supplier's despatch advice.
    DespatchAdviceId;
    /// A line of a supplier's despatch advice.
    AdviceLineId;
}
