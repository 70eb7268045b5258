//! Who may do what.

use std::str::FromStr;

/// What a person does in the shop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// Picks, packs and hands over.
    Warehouse,
    /// Books what suppliers deliver.
    Receiver,
    /// Orders parts.
    Buyer,
    /// May do everything, and decides exceptions.
    Owner,
}

/// One thing a person may be allowed to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Permission {
    /// See orders, kits, parts, stock and papers.
    Look,
    /// Import and export files, and hold stock for orders anew.
    ManageOrders,
    /// Change parts, suppliers, bins and bills of materials.
    EditCatalogue,
    /// Make pick lists and pick.
    Pick,
    /// Pack, seal and hand over.
    Pack,
    /// Make bags, sets and cut forks from stock, and take them apart.
    Make,
    /// Let a kit leave without a part that stops the build or the ride.
    ShipWithoutNeeded,
    /// Book deliveries.
    Receive,
    /// Take in a supplier's despatch advice.
    TakeAdvice,
    /// Confirm what somebody else said that a supplier's code means.
    ConfirmCodes,
    /// See the reorder list and make purchase orders.
    Buy,
    /// Correct stock by a movement.
    CorrectStock,
    /// Print labels, and papers on the shop's printers.
    PrintLabels,
    /// Name the shop's printers.
    ManagePrinters,
    /// See the messages that the shop sends, and say how and to whom it sends them.
    ManageMessages,
    /// Settle which of several stated torques holds.
    SettleTorque,
    /// Manage people and device tokens.
    ManagePeople,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 4] = [Self::Warehouse, Self::Receiver, Self::Buyer, Self::Owner];

    /// Returns the role's word, as it is stored and shown.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Warehouse => "warehouse",
            Self::Receiver => "receiver",
            Self::Buyer => "buyer",
            Self::Owner => "owner",
        }
    }

    /// Returns whether the role may do that.
    pub const fn may(self, permission: Permission) -> bool {
        match permission {
            Permission::Look | Permission::PrintLabels => true,
            Permission::Pick | Permission::Pack | Permission::Make => {
                matches!(self, Self::Warehouse | Self::Owner)
            }
            Permission::Receive => matches!(self, Self::Receiver | Self::Owner),
            Permission::ConfirmCodes | Permission::TakeAdvice => {
                matches!(self, Self::Receiver | Self::Buyer | Self::Owner)
            }
            Permission::Buy => matches!(self, Self::Buyer | Self::Owner),
            Permission::ManageOrders
            | Permission::EditCatalogue
            | Permission::ShipWithoutNeeded
            | Permission::CorrectStock
            | Permission::SettleTorque
            | Permission::ManagePrinters
            | Permission::ManageMessages
            | Permission::ManagePeople => matches!(self, Self::Owner),
        }
    }
}

impl Permission {
    /// Returns what the permission lets a person do, to follow "may not".
    pub const fn words(self) -> &'static str {
        match self {
            Self::Look => "look at the shop",
            Self::ManageOrders => "import files or hold stock for orders",
            Self::EditCatalogue => "change parts, suppliers, bins or bills of materials",
            Self::Pick => "pick",
            Self::Pack => "pack",
            Self::Make => "make bags and sets or take them apart",
            Self::ShipWithoutNeeded => "ship a kit without a part that it needs",
            Self::Receive => "book deliveries",
            Self::TakeAdvice => "take in a supplier's despatch advice",
            Self::ConfirmCodes => "confirm a supplier's code",
            Self::Buy => "order parts",
            Self::CorrectStock => "correct stock",
            Self::PrintLabels => "print labels",
            Self::ManagePrinters => "name printers",
            Self::ManageMessages => "see the shop's messages or say how they are sent",
            Self::SettleTorque => "settle a torque",
            Self::ManagePeople => "manage people",
        }
    }
}

impl FromStr for Role {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        Self::ALL
            .into_iter()
            .find(|role| role.as_str() == word)
            .ok_or_else(|| format!("'{word}' is no role: take warehouse, receiver, buyer or owner"))
    }
}
