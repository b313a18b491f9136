DROP TABLE supplier_order_events;
DROP TABLE supplier_orders;
