"""Where things lie in a sealed bag: paths from the bag's folder, with "/"."""

BAGIT = 'bagit.txt'
BAG_INFO = 'bag-info.txt'
FETCH = 'fetch.txt'
PAYLOAD = 'data/'
EXAMINATION = 'data/examination/'
RECORD = 'data/examination/record.json'
COMPARISON = 'data/examination/comparison.json'
RECORDS = (RECORD, COMPARISON)
PHOTOS = 'data/photos/'
MANIFEST = 'manifest-sha256.txt'
TAG_MANIFEST = 'tagmanifest-sha256.txt'
SEAL_FOLDER = 'seal/'
SEAL = 'seal/seal.txt'
PUBLIC_KEY = 'seal/public-key.pem'
HOW_TO = 'seal/how-to-check.txt'
SIGNATURE = 'seal/tagmanifest-sha256.sig'
STAMP_FOLDER = 'timestamp/'
STAMP_REQUEST = 'timestamp/request.tsq'
STAMP_REPLY = 'timestamp/reply.tsr'
STAMP_MANIFEST = 'timestamp/manifest-sha256.txt'

SEALED_TAG_FILES = (BAGIT, BAG_INFO, MANIFEST, SEAL, PUBLIC_KEY, HOW_TO)
"""What the signed tag manifest of a sealed bag lists."""
STAMP_FILES = (STAMP_REQUEST, STAMP_REPLY, STAMP_MANIFEST)
"""What may be added after sealing."""
BAG_DESCRIPTION = 'Sealed examination of a glass paperweight: record, pictures and original photos'
"""What bag-info.txt of a sealed bag says of it."""
