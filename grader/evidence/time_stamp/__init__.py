"""Time stamps by an authority on the network (RFC 3161): request, reply, and the check of both. Nothing is sent."""
