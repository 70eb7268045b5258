//! How ids and quantities are written to and read from a column, in either database.

use diesel::backend::Backend;
use diesel::deserialize::{self, FromSql};
use diesel::serialize::{self, Output, ToSql};
use diesel::sql_types::BigInt;

use crate::domain::ids::{
    AdviceLineId, BenchRunId, BomId, CartonId, DespatchAdviceId, KitId, KitLineId, LotId,
    MessageId, MovementId, OrderId, PickListId, PlaceId, PrintJobId, PrinterId, PurchaseOrderId,
    PurchaseOrderLineId, ReceiverId, SerialId, SupplierCodeId, SupplierId, UserId, VariantId,
};
use crate::units::{Mass, Money, Quantity};

macro_rules! big_int {
    ($($name:ty),* $(,)?) => {$(
        impl<DB: Backend> FromSql<BigInt, DB> for $name
        where
            i64: FromSql<BigInt, DB>,
        {
            fn from_sql(bytes: DB::RawValue<'_>) -> deserialize::Result<Self> {
                i64::from_sql(bytes).map(Self::from)
            }
        }

        impl<DB: Backend> ToSql<BigInt, DB> for $name
        where
            i64: ToSql<BigInt, DB>,
        {
            fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, DB>) -> serialize::Result {
                self.as_ref().to_sql(out)
            }
        }
    )*};
}

big_int!(
    AdviceLineId,
    BenchRunId,
    BomId,
    CartonId,
    DespatchAdviceId,
    KitId,
    KitLineId,
    LotId,
    Mass,
    Money,
    MovementId,
    OrderId,
    PickListId,
    PlaceId,
    PrintJobId,
    MessageId,
    ReceiverId,
    PrinterId,
    PurchaseOrderId,
    PurchaseOrderLineId,
    Quantity,
    SerialId,
    SupplierCodeId,
    SupplierId,
    UserId,
    VariantId,
);
