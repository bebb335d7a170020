def photo_answers(n, seed):
    return iter(())
