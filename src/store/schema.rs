//! The tables, as both databases have them.

diesel::table! {
    users (id) {
        id -> BigInt,
        login -> Text,
        name -> Text,
        role -> Text,
        password_hash -> Text,
        disabled -> Bool,
        created_at -> Timestamp,
    }
}

diesel::table! {
    sessions (id) {
        id -> BigInt,
        token_hash -> Text,
        user_id -> BigInt,
        csrf -> Text,
        expires_at -> Timestamp,
    }
}

diesel::table! {
    device_tokens (id) {
        id -> BigInt,
        token_hash -> Text,
        user_id -> BigInt,
        device -> Text,
        created_at -> Timestamp,
        revoked_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    settings (name) {
        name -> Text,
        value -> Text,
    }
}

diesel::table! {
    counters (name) {
        name -> Text,
        last -> BigInt,
    }
}

diesel::table! {
    suppliers (id) {
        id -> BigInt,
        code -> Text,
        name -> Text,
        email -> Nullable<Text>,
        lead_days -> BigInt,
        lead_sd_tenths -> BigInt,
        address -> Text,
        order_cost_cents -> BigInt,
        budget_cents -> Nullable<BigInt>,
        container_litres -> Nullable<BigInt>,
        container_kg -> Nullable<BigInt>,
        minimum_order_cents -> BigInt,
    }
}

diesel::table! {
    places (id) {
        id -> BigInt,
        code -> Text,
        kind -> Text,
        zone -> Text,
        walk_order -> BigInt,
        outside -> Bool,
    }
}

diesel::table! {
    parts (id) {
        id -> BigInt,
        name -> Text,
    }
}

diesel::table! {
    variants (id) {
        id -> BigInt,
        part_id -> BigInt,
        part_number -> Text,
        variant -> Text,
        specification -> Text,
        attributes -> Text,
        mass_mg -> BigInt,
        mass_sd_mg -> BigInt,
        #[sql_name = "box"]
        box_ -> Text,
        tracking -> Text,
        class -> Text,
        supplier_id -> Nullable<BigInt>,
        supplier_item -> Nullable<Text>,
        unit_cost_cents -> BigInt,
        pack -> BigInt,
        minimum_order -> BigInt,
        reorder_point -> BigInt,
        order_quantity -> BigInt,
        bin_id -> Nullable<BigInt>,
        facts -> Text,
        facts_source -> Text,
    }
}

diesel::table! {
    boms (id) {
        id -> BigInt,
        code -> Text,
        revision -> Text,
        valid_from -> Nullable<Date>,
        name -> Text,
        makes_variant_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    bom_options (id) {
        id -> BigInt,
        bom_id -> BigInt,
        position -> BigInt,
        name -> Text,
        allowed -> Text,
    }
}

diesel::table! {
    bom_steps (id) {
        id -> BigInt,
        bom_id -> BigInt,
        number -> BigInt,
        title -> Text,
        check_text -> Text,
        caution -> Text,
    }
}

diesel::table! {
    bom_lines (id) {
        id -> BigInt,
        bom_id -> BigInt,
        number -> BigInt,
        step -> BigInt,
        item -> Text,
        choose -> Text,
        conditions -> Text,
        quantity -> BigInt,
        carton -> BigInt,
    }
}

diesel::table! {
    orders (id) {
        id -> BigInt,
        number -> Text,
        placed_on -> Date,
        promised_on -> Date,
        customer -> Text,
        channel -> Text,
        email -> Text,
        address -> Text,
        country -> Text,
    }
}

diesel::table! {
    kits (id) {
        id -> BigInt,
        number -> Text,
        order_id -> BigInt,
        line_no -> BigInt,
        piece_no -> BigInt,
        bom_id -> BigInt,
        bom_revision -> Text,
        bills_on -> Date,
        state -> Text,
        tote_id -> Nullable<BigInt>,
        despatched_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    kit_options (id) {
        id -> BigInt,
        kit_id -> BigInt,
        name -> Text,
        value -> Text,
    }
}

diesel::table! {
    kit_lines (id) {
        id -> BigInt,
        kit_id -> BigInt,
        number -> BigInt,
        step -> BigInt,
        variant_id -> BigInt,
        quantity -> BigInt,
        carton -> BigInt,
        picked -> BigInt,
        packed -> BigInt,
        short -> BigInt,
        short_reason -> Nullable<Text>,
        short_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    cartons (id) {
        id -> BigInt,
        kit_id -> BigInt,
        position -> BigInt,
        number -> Text,
        place_id -> BigInt,
        sealed_at -> Nullable<Timestamp>,
        sealed_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    pick_lists (id) {
        id -> BigInt,
        number -> Text,
        created_at -> Timestamp,
        user_id -> BigInt,
    }
}

diesel::table! {
    pick_list_kits (id) {
        id -> BigInt,
        pick_list_id -> BigInt,
        kit_id -> BigInt,
        slot -> BigInt,
    }
}

diesel::table! {
    box_reports (id) {
        id -> BigInt,
        kit_line_id -> BigInt,
        outcome -> Text,
        quantity -> BigInt,
        note -> Text,
        reported_at -> Timestamp,
    }
}

diesel::table! {
    lots (id) {
        id -> BigInt,
        variant_id -> BigInt,
        code -> Text,
        use_by -> Nullable<Date>,
    }
}

diesel::table! {
    serials (id) {
        id -> BigInt,
        variant_id -> BigInt,
        code -> Text,
    }
}

diesel::table! {
    request_keys (key) {
        key -> Text,
        action -> Text,
        body_hash -> Text,
        answer -> Text,
        user_id -> Nullable<BigInt>,
        created_at -> Timestamp,
    }
}

diesel::table! {
    movements (id) {
        id -> BigInt,
        variant_id -> BigInt,
        lot_id -> Nullable<BigInt>,
        serial_id -> Nullable<BigInt>,
        quantity -> BigInt,
        from_id -> BigInt,
        to_id -> BigInt,
        at -> Timestamp,
        user_id -> Nullable<BigInt>,
        document -> Text,
        kit_line_id -> Nullable<BigInt>,
        reverses_id -> Nullable<BigInt>,
        request_key -> Text,
    }
}

diesel::table! {
    balances (id) {
        id -> BigInt,
        variant_id -> BigInt,
        lot_id -> Nullable<BigInt>,
        serial_id -> Nullable<BigInt>,
        place_id -> BigInt,
        outside -> Bool,
        quantity -> BigInt,
    }
}

diesel::table! {
    reservations (id) {
        id -> BigInt,
        kit_line_id -> BigInt,
        variant_id -> BigInt,
        place_id -> BigInt,
        lot_id -> Nullable<BigInt>,
        quantity -> BigInt,
    }
}

diesel::table! {
    purchase_orders (id) {
        id -> BigInt,
        number -> Text,
        supplier_id -> BigInt,
        ordered_on -> Date,
        due_on -> Date,
        note -> Text,
        revision -> BigInt,
        approved_revision -> BigInt,
        sent_revision -> BigInt,
        cancelled -> Bool,
    }
}

diesel::table! {
    purchase_order_lines (id) {
        id -> BigInt,
        purchase_order_id -> BigInt,
        line_no -> BigInt,
        variant_id -> BigInt,
        quantity -> BigInt,
        received -> BigInt,
        unit_price_cents -> BigInt,
        closed -> Bool,
        currency -> Text,
        wanted_on -> Nullable<Date>,
        price_per -> BigInt,
        reason -> Text,
        closed_because -> Text,
        changed_in -> BigInt,
    }
}

diesel::table! {
    supplier_closings (id) {
        id -> BigInt,
        supplier_id -> BigInt,
        first_day -> Date,
        last_day -> Date,
    }
}

diesel::table! {
    purchase_events (id) {
        id -> BigInt,
        purchase_order_id -> BigInt,
        revision -> BigInt,
        kind -> Text,
        words -> Text,
        at -> Timestamp,
        user_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    purchase_confirmations (id) {
        id -> BigInt,
        purchase_order_line_id -> BigInt,
        revision -> BigInt,
        quantity -> BigInt,
        promised_on -> Date,
        reference -> Text,
        at -> Timestamp,
        user_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    purchase_chases (id) {
        id -> BigInt,
        purchase_order_id -> BigInt,
        chased_on -> Date,
        again_because -> Text,
        words -> Text,
        at -> Timestamp,
        user_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    receipts (id) {
        id -> BigInt,
        purchase_order_line_id -> BigInt,
        received_at -> Timestamp,
        user_id -> BigInt,
        delivery_note -> Text,
        quantity -> BigInt,
        damaged -> BigInt,
        difference -> Text,
        note -> Text,
        request_key -> Text,
    }
}

diesel::table! {
    substitutions (id) {
        id -> BigInt,
        from_variant_id -> BigInt,
        to_variant_id -> BigInt,
        kind -> Text,
        both_ways -> Bool,
        consent -> Text,
        valid_from -> Date,
        valid_until -> Nullable<Date>,
        until_used_up -> Bool,
        reason -> Text,
        source -> Text,
    }
}

diesel::table! {
    kit_line_changes (id) {
        id -> BigInt,
        kit_id -> BigInt,
        line_number -> BigInt,
        quantity -> BigInt,
        from_variant_id -> BigInt,
        to_variant_id -> BigInt,
        reason -> Text,
        consent -> Text,
        said_by -> Text,
        said_on -> Nullable<Date>,
        user_id -> Nullable<BigInt>,
        changed_at -> Timestamp,
    }
}

diesel::table! {
    supplier_codes (id) {
        id -> BigInt,
        supplier_id -> BigInt,
        kind -> Text,
        code -> Text,
        variant_id -> BigInt,
        learned_by -> BigInt,
        learned_at -> Timestamp,
        confirmed_by -> Nullable<BigInt>,
        confirmed_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    bench_runs (id) {
        id -> BigInt,
        number -> Text,
        bom_id -> BigInt,
        bom_revision -> Text,
        variant_id -> BigInt,
        pieces -> BigInt,
        lot_id -> Nullable<BigInt>,
        made_at -> Timestamp,
        user_id -> BigInt,
        request_key -> Text,
    }
}

diesel::table! {
    bench_moves (id) {
        id -> BigInt,
        run_id -> BigInt,
        movement_id -> BigInt,
        role -> Text,
        piece_serial_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    catalogue_changes (id) {
        id -> BigInt,
        changed_at -> Timestamp,
        user_id -> Nullable<BigInt>,
        kind -> Text,
        record -> Text,
        field -> Text,
        old_value -> Text,
        new_value -> Text,
        by_file -> Bool,
    }
}

diesel::table! {
    label_prints (id) {
        id -> BigInt,
        kind -> Text,
        identity -> Text,
        print_no -> BigInt,
        labels -> BigInt,
        printed_at -> Timestamp,
        user_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    carton_ssccs (carton_id) {
        carton_id -> BigInt,
        sscc -> Text,
    }
}

diesel::table! {
    label_layouts (kind) {
        kind -> Text,
        layout -> Text,
        changed_at -> Timestamp,
        user_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    bom_step_aids (id) {
        id -> BigInt,
        bom_id -> BigInt,
        step -> BigInt,
        tools -> Text,
        drawings -> Text,
    }
}

diesel::table! {
    bom_step_words (id) {
        id -> BigInt,
        bom_id -> BigInt,
        step -> BigInt,
        language -> Text,
        title -> Text,
        check_text -> Text,
        caution -> Text,
    }
}

diesel::table! {
    joints (id) {
        id -> BigInt,
        bom_id -> BigInt,
        number -> BigInt,
        step -> BigInt,
        name -> Text,
        bolts -> BigInt,
        thread -> Text,
        pattern -> Text,
        condition -> Text,
        set_by_maker -> Bool,
    }
}

diesel::table! {
    joint_words (id) {
        id -> BigInt,
        joint_id -> BigInt,
        language -> Text,
        name -> Text,
    }
}

diesel::table! {
    joint_torques (id) {
        id -> BigInt,
        joint_id -> BigInt,
        position -> BigInt,
        stated -> Text,
        source -> Text,
    }
}

diesel::table! {
    bom_keys (id) {
        id -> BigInt,
        bom_id -> BigInt,
        part_number -> Text,
        stated -> Text,
        source -> Text,
    }
}

diesel::table! {
    torque_settlements (id) {
        id -> BigInt,
        bom_id -> BigInt,
        joint -> BigInt,
        statements -> Text,
        held -> Text,
        held_source -> Text,
        reason -> Text,
        user_id -> BigInt,
        settled_at -> Timestamp,
        request_key -> Text,
    }
}

diesel::table! {
    glossary (id) {
        id -> BigInt,
        text -> Text,
        language -> Text,
        words -> Text,
    }
}

diesel::table! {
    air_charts (id) {
        id -> BigInt,
        code -> Text,
        item -> Text,
        choose -> Text,
        maximum -> Text,
        source -> Text,
    }
}

diesel::table! {
    air_chart_rows (id) {
        id -> BigInt,
        chart_id -> BigInt,
        position -> BigInt,
        mass_from -> Text,
        mass_to -> Text,
        pressure -> Text,
    }
}

diesel::table! {
    carton_seals (id) {
        id -> BigInt,
        carton_id -> BigInt,
        after_movement -> BigInt,
        sscc -> Nullable<Text>,
        sealed_at -> Timestamp,
        user_id -> BigInt,
    }
}

diesel::table! {
    despatch_advices (id) {
        id -> BigInt,
        supplier_id -> BigInt,
        number -> Text,
        issued_on -> Date,
        content -> Text,
        taken_at -> Timestamp,
        user_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    despatch_advice_lines (id) {
        id -> BigInt,
        advice_id -> BigInt,
        line -> Text,
        purchase_order_line_id -> BigInt,
        quantity -> BigInt,
        lot -> Text,
        use_by -> Nullable<Date>,
        serials -> Text,
        unit -> Text,
        request_key -> Nullable<Text>,
    }
}

diesel::table! {
    printers (id) {
        id -> BigInt,
        name -> Text,
        uri -> Text,
        media -> Text,
        certificate -> Nullable<Text>,
        retired -> Bool,
        changed_at -> Timestamp,
        user_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    printer_papers (id) {
        id -> BigInt,
        printer_id -> BigInt,
        paper -> Text,
        is_first -> Bool,
    }
}

diesel::table! {
    print_jobs (id) {
        id -> BigInt,
        token -> Text,
        printer_id -> BigInt,
        paper -> Text,
        title -> Text,
        state -> Text,
        words -> Text,
        tries -> BigInt,
        due_at -> Nullable<Timestamp>,
        claim -> Nullable<Text>,
        claimed_until -> Nullable<Timestamp>,
        begun_at -> Nullable<Timestamp>,
        printer_job -> Nullable<BigInt>,
        cancel_wanted -> Bool,
        asked_at -> Timestamp,
        user_id -> Nullable<BigInt>,
        changed_at -> Timestamp,
    }
}

diesel::table! {
    print_documents (id) {
        id -> BigInt,
        job_id -> BigInt,
        pdf -> Binary,
    }
}

diesel::table! {
    print_job_subjects (id) {
        id -> BigInt,
        job_id -> BigInt,
        subject -> Text,
    }
}

diesel::table! {
    receivers (id) {
        id -> BigInt,
        channel -> Text,
        address -> Text,
        key -> Nullable<Text>,
        retired -> Bool,
        changed_at -> Timestamp,
        user_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    buying_policies (id) {
        id -> BigInt,
        scope -> Text,
        variant_id -> Nullable<BigInt>,
        policy -> Nullable<Text>,
        service_hundredths -> Nullable<BigInt>,
        minimum -> Nullable<BigInt>,
        maximum -> Nullable<BigInt>,
        review_days -> Nullable<BigInt>,
        container -> Nullable<BigInt>,
        sized_by -> Nullable<Text>,
        variation_percent -> Nullable<BigInt>,
        left_over_cents -> Nullable<BigInt>,
        short_cents -> Nullable<BigInt>,
        season_starts -> Nullable<Text>,
        holding_percent -> Nullable<BigInt>,
        cover_days -> Nullable<BigInt>,
        shelf_life_days -> Nullable<BigInt>,
        room -> Nullable<BigInt>,
        prices -> Text,
        discount -> Nullable<Text>,
        note -> Text,
    }
}

diesel::table! {
    messages (id) {
        id -> BigInt,
        token -> Text,
        channel -> Text,
        address -> Text,
        receiver_id -> Nullable<BigInt>,
        subject -> Text,
        body -> Text,
        about -> Text,
        state -> Text,
        words -> Text,
        tries -> BigInt,
        due_at -> Nullable<Timestamp>,
        claim -> Nullable<Text>,
        claimed_until -> Nullable<Timestamp>,
        begun_at -> Nullable<Timestamp>,
        queued_at -> Timestamp,
        user_id -> Nullable<BigInt>,
        changed_at -> Timestamp,
    }
}

diesel::table! {
    message_files (id) {
        id -> BigInt,
        message_id -> BigInt,
        name -> Text,
        media_type -> Text,
        content -> Binary,
    }
}

diesel::table! {
    told_alerts (id) {
        id -> BigInt,
        kit -> Text,
        line -> BigInt,
        cause -> Text,
        raised_at -> Timestamp,
        cleared_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    planned_kits (id) {
        id -> BigInt,
        kit -> Text,
        month -> Date,
        bikes -> BigInt,
        mix -> Text,
    }
}

diesel::table! {
    demand_history (id) {
        id -> BigInt,
        variant_id -> BigInt,
        month -> Date,
        used -> BigInt,
        spares -> BigInt,
        lost -> BigInt,
    }
}

diesel::table! {
    overrules (id) {
        id -> BigInt,
        variant_id -> BigInt,
        made_at -> Timestamp,
        user_id -> BigInt,
        suggested -> BigInt,
        chosen -> BigInt,
        put_off_until -> Nullable<Date>,
        reason -> Text,
        because -> Text,
    }
}

diesel::table! {
    movement_costs (id) {
        id -> BigInt,
        movement_id -> BigInt,
        cost_cents -> BigInt,
        source -> Text,
    }
}

diesel::table! {
    bin_alerts (id) {
        id -> BigInt,
        variant_id -> BigInt,
        told_on -> Date,
    }
}

diesel::table! {
    landed_costs (id) {
        id -> BigInt,
        purchase_order_id -> BigInt,
        delivery_note -> Text,
        kind -> Text,
        amount_cents -> BigInt,
        basis -> Text,
        document -> Text,
        after_movement -> BigInt,
        at -> Timestamp,
        user_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    landed_cost_shares (id) {
        id -> BigInt,
        landed_cost_id -> BigInt,
        movement_id -> BigInt,
        amount_cents -> BigInt,
    }
}

diesel::table! {
    leaving_orders (id) {
        id -> BigInt,
        order_id -> BigInt,
        chosen_at -> Timestamp,
        chosen_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    card_scans (id) {
        id -> BigInt,
        variant_id -> BigInt,
        scanned_at -> Timestamp,
        user_id -> BigInt,
        quantity -> BigInt,
        purchase_order_id -> BigInt,
        line_no -> BigInt,
    }
}

diesel::allow_tables_to_appear_in_same_query!(
    leaving_orders,
    carton_seals,
    despatch_advices,
    despatch_advice_lines,
    catalogue_changes,
    users,
    sessions,
    device_tokens,
    settings,
    counters,
    suppliers,
    places,
    parts,
    variants,
    boms,
    bom_options,
    bom_steps,
    bom_lines,
    orders,
    kits,
    kit_options,
    kit_lines,
    cartons,
    pick_lists,
    pick_list_kits,
    box_reports,
    lots,
    serials,
    request_keys,
    movements,
    balances,
    reservations,
    purchase_orders,
    purchase_order_lines,
    supplier_closings,
    purchase_events,
    purchase_confirmations,
    purchase_chases,
    movement_costs,
    landed_costs,
    landed_cost_shares,
    receipts,
    supplier_codes,
    substitutions,
    kit_line_changes,
    bench_runs,
    bench_moves,
    label_prints,
    carton_ssccs,
    label_layouts,
    printers,
    printer_papers,
    print_jobs,
    print_documents,
    print_job_subjects,
    receivers,
    messages,
    message_files,
    told_alerts,
    bom_step_aids,
    bom_step_words,
    joints,
    joint_words,
    joint_torques,
    bom_keys,
    torque_settlements,
    glossary,
    air_charts,
    air_chart_rows,
    buying_policies,
    planned_kits,
    demand_history,
    overrules,
    bin_alerts,
    card_scans,
);
