DROP TABLE webhook_deliveries;
DROP TABLE webhook_secrets;
DROP TABLE webhooks;
