//! The tables, for both dialects.

diesel::table! {
    sites (site) {
        site -> Text,
        plan_revision -> BigInt,
        bakery_revision -> BigInt,
    }
}

diesel::table! {
    reference (site, noun, code, valid_from) {
        site -> Text,
        noun -> Text,
        code -> Text,
        valid_from -> Text,
        position -> BigInt,
        body -> Text,
        etag -> Text,
    }
}

diesel::table! {
    orders (site, order_ref) {
        site -> Text,
        order_ref -> Text,
        order_id -> Text,
        version -> BigInt,
        service_date -> Nullable<Text>,
        taken_at -> Text,
    }
}

diesel::table! {
    supplier_orders (site, id) {
        site -> Text,
        id -> Text,
        number -> BigInt,
        supplier -> Text,
        cutoff -> Text,
        arrives -> Text,
        state -> Text,
        who -> Text,
        happened_at -> Text,
        body -> Text,
    }
}

diesel::table! {
    supplier_order_events (site, id) {
        site -> Text,
        id -> Text,
        order_id -> Text,
        step -> Text,
        who -> Text,
        happened_at -> Text,
        recorded_at -> Text,
        body -> Text,
        note -> Nullable<Text>,
        plan_revision -> BigInt,
    }
}

diesel::table! {
    order_versions (site, order_ref, version) {
        site -> Text,
        order_ref -> Text,
        version -> BigInt,
        customer -> Nullable<Text>,
        service_date -> Nullable<Text>,
        drop_time -> Nullable<Text>,
        lines_rule -> Text,
        state -> Text,
        cutoff -> Nullable<Text>,
        received_at -> Text,
        fingerprint -> Text,
        plan_revision -> BigInt,
        standing -> Nullable<Text>,
        counter_par -> Nullable<Text>,
    }
}

diesel::table! {
    order_lines (site, order_ref, version, position) {
        site -> Text,
        order_ref -> Text,
        version -> BigInt,
        position -> BigInt,
        line_ref -> Text,
        product -> Text,
        quantity_asked -> Text,
        quantity_taken -> BigInt,
        state -> Text,
        reason -> Nullable<Text>,
        surplus -> BigInt,
        cutoff -> Nullable<Text>,
        earliest -> Nullable<Text>,
        sentence -> Nullable<Text>,
    }
}

diesel::table! {
    lots (site, id) {
        site -> Text,
        id -> Text,
        name -> Text,
        item -> Text,
        unit -> Text,
        received -> Text,
        use_by -> Nullable<Text>,
        best_before -> Nullable<Text>,
        usable_until -> Nullable<Text>,
        baked -> Nullable<Text>,
        arrives -> Nullable<Text>,
        place -> Nullable<Text>,
        supplier -> Nullable<Text>,
        state -> Text,
        usage -> Text,
        hold_reason -> Nullable<Text>,
        made_at -> Nullable<Text>,
        thaw_started -> Nullable<Text>,
        opened_at -> Nullable<Text>,
        frozen_at -> Nullable<Text>,
        frozen_days_left -> Nullable<BigInt>,
        thawed_until -> Nullable<Text>,
        accepted_until -> Nullable<Text>,
        accepted_by -> Nullable<Text>,
        price_minor -> Nullable<BigInt>,
        price_currency -> Nullable<Text>,
        price_per_micro -> Nullable<BigInt>,
    }
}

diesel::table! {
    movements (site, id) {
        site -> Text,
        id -> Text,
        lot -> Text,
        kind -> Text,
        amount_micro -> BigInt,
        happened_at -> Text,
        recorded_at -> Text,
        reason -> Nullable<Text>,
        who -> Nullable<Text>,
        document -> Nullable<Text>,
        load -> Nullable<Text>,
        place -> Text,
        reverses -> Nullable<Text>,
        sequence -> BigInt,
        previous_hash -> Text,
        hash -> Text,
    }
}

diesel::table! {
    ledger_heads (site) {
        site -> Text,
        sequence -> BigInt,
        hash -> Text,
    }
}

diesel::table! {
    balances (site, lot, place) {
        site -> Text,
        lot -> Text,
        place -> Text,
        balance_micro -> BigInt,
    }
}

diesel::table! {
    bin_lots (site, place, lot, entered_at) {
        site -> Text,
        place -> Text,
        lot -> Text,
        entered_at -> Text,
        emptied_at -> Nullable<Text>,
        emptied_by -> Nullable<Text>,
    }
}

diesel::table! {
    wastes (site, id) {
        site -> Text,
        id -> Text,
        movement -> Nullable<Text>,
        item -> Text,
        unit -> Text,
        amount_micro -> BigInt,
        reason -> Text,
        place -> Nullable<Text>,
        batch -> Nullable<Text>,
        route -> Text,
        happened_at -> Text,
        recorded_at -> Text,
        who -> Nullable<Text>,
        note -> Nullable<Text>,
    }
}

diesel::table! {
    idempotency (site, idempotency_key) {
        site -> Text,
        idempotency_key -> Text,
        fingerprint -> Text,
        status -> Integer,
        etag -> Nullable<Text>,
        body -> Text,
        created_at -> Text,
    }
}

diesel::table! {
    loads (site, id) {
        site -> Text,
        id -> Text,
        formula -> Text,
        service_date -> Text,
        number -> BigInt,
        state -> Text,
        starts_at -> Text,
        who -> Text,
        happened_at -> Text,
        body -> Text,
        lot -> Nullable<Text>,
    }
}

diesel::table! {
    load_events (site, id) {
        site -> Text,
        id -> Text,
        load_id -> Text,
        step -> Text,
        who -> Text,
        happened_at -> Text,
        recorded_at -> Text,
        body -> Text,
        note -> Nullable<Text>,
        plan_revision -> BigInt,
    }
}

diesel::table! {
    decisions (site, id) {
        site -> Text,
        id -> Text,
        service_date -> Text,
        body -> Text,
        note -> Text,
        who -> Text,
        recorded_at -> Text,
        plan_revision -> BigInt,
        takes_back -> Nullable<Text>,
    }
}

diesel::table! {
    sign_offs (site, id) {
        site -> Text,
        id -> Text,
        service_date -> Text,
        substitute -> Text,
        body -> Text,
        note -> Text,
        who -> Text,
        recorded_at -> Text,
        plan_revision -> BigInt,
        takes_back -> Nullable<Text>,
    }
}

diesel::table! {
    overrides (site, id) {
        site -> Text,
        id -> Text,
        service_date -> Text,
        kind -> Text,
        code -> Text,
        value -> Nullable<Text>,
        note -> Text,
        who -> Text,
        recorded_at -> Text,
        plan_revision -> BigInt,
    }
}

diesel::table! {
    prints (site, work_date, sheet, plan_revision) {
        site -> Text,
        work_date -> Text,
        sheet -> Text,
        plan_revision -> BigInt,
        printed_at -> Text,
        body -> Text,
    }
}

diesel::table! {
    revisions (site, plan_revision) {
        site -> Text,
        plan_revision -> BigInt,
        made_at -> Text,
        cause -> Text,
    }
}

diesel::allow_tables_to_appear_in_same_query!(bin_lots, lots);
diesel::allow_tables_to_appear_in_same_query!(sites, tokens);
diesel::allow_tables_to_appear_in_same_query!(lots, movements);
diesel::allow_tables_to_appear_in_same_query!(orders, order_versions, order_lines);

diesel::table! {
    yield_observations (site, id) {
        site -> Text,
        id -> Text,
        code -> Text,
        stage -> Text,
        load -> Text,
        in_micro -> BigInt,
        out_micro -> BigInt,
        happened_at -> Text,
        recorded_at -> Text,
        who -> Nullable<Text>,
    }
}

diesel::table! {
    product_lots (site, lot) {
        site -> Text,
        lot -> Text,
        product -> Text,
        service_date -> Text,
        load -> Nullable<Text>,
        document -> Text,
        started -> BigInt,
    }
}

diesel::table! {
    tokens (site, id) {
        site -> Text,
        id -> Text,
        name -> Text,
        job -> Text,
        secret_hash -> Text,
        made_at -> Text,
        expires_at -> Nullable<Text>,
        revoked_at -> Nullable<Text>,
    }
}

diesel::table! {
    audit_entries (site, id) {
        site -> Text,
        id -> Text,
        written_at -> Text,
        who -> Text,
        token_id -> Nullable<Text>,
        method -> Text,
        path -> Text,
        status -> Integer,
        request_id -> Text,
    }
}

diesel::table! {
    label_confirmations (site, id) {
        site -> Text,
        id -> Text,
        lot -> Text,
        added -> Text,
        who -> Text,
        note -> Nullable<Text>,
        happened_at -> Text,
    }
}

diesel::table! {
    past_loads (site, id) {
        site -> Text,
        id -> Text,
        name -> Text,
        formula -> Text,
        made_at -> Text,
        recorded_at -> Text,
        who -> Nullable<Text>,
        note -> Nullable<Text>,
    }
}

diesel::table! {
    past_load_lines (site, past_load, position) {
        site -> Text,
        past_load -> Text,
        position -> BigInt,
        kind -> Text,
        item -> Text,
        lot -> Nullable<Text>,
        amount_micro -> BigInt,
        unit -> Text,
        customer -> Nullable<Text>,
        service_date -> Nullable<Text>,
        drop_time -> Nullable<Text>,
        order_ref -> Nullable<Text>,
    }
}

diesel::table! {
    pack_readings (site, id) {
        site -> Text,
        id -> Text,
        lot -> Text,
        contains -> Text,
        may_contain -> Text,
        version -> Nullable<Text>,
        source -> Nullable<Text>,
        who -> Nullable<Text>,
        happened_at -> Text,
    }
}

diesel::table! {
    notices (site, number) {
        site -> Text,
        number -> BigInt,
        kind -> Text,
        made_at -> Text,
        plan_revision -> BigInt,
        about -> Text,
        words -> Text,
        facts -> Nullable<Text>,
    }
}

diesel::table! {
    shortage_watches (site) {
        site -> Text,
        plan_revision -> BigInt,
        looked_at -> Text,
        body -> Text,
    }
}

diesel::table! {
    webhooks (site, code) {
        site -> Text,
        code -> Text,
        url -> Text,
        kinds -> Text,
        active -> Bool,
        told_up_to -> BigInt,
    }
}

diesel::table! {
    webhook_secrets (site, id) {
        site -> Text,
        id -> Text,
        webhook -> Text,
        secret -> Text,
        made_at -> Text,
        ends_at -> Nullable<Text>,
    }
}

diesel::table! {
    webhook_deliveries (site, id) {
        site -> Text,
        id -> Text,
        webhook -> Text,
        notice -> BigInt,
        state -> Text,
        tries -> BigInt,
        next_try_at -> Text,
        leased_until -> Text,
        settled_at -> Nullable<Text>,
        last_status -> Nullable<Integer>,
        last_words -> Nullable<Text>,
    }
}
