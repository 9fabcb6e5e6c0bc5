"""The home network: addresses, QR codes, sockets."""
