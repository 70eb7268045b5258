DROP TABLE told_alerts;
DROP TABLE message_files;
DROP TABLE messages;
DROP TABLE receivers;
