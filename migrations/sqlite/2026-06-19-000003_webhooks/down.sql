DROP TABLE deliveries;
DROP TABLE webhook_secrets;
DROP TABLE webhooks;
