"""Where the piece ends and its ground begins, and the glass surface that this outline stands for."""
