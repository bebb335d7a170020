"""A text in each sealed bag for whoever gets it without this program."""

HOW_TO_CHECK = """\
This folder is a sealed examination of a glass paperweight: the record, pictures, and the original photos, in the folder
"data". It is a bag in the open BagIt format (RFC 8493).

With the program that made it:

    grader verify FOLDER

Without it, with common tools, in this folder:

    sha256sum -c manifest-sha256.txt
    sha256sum -c tagmanifest-sha256.txt
    openssl pkeyutl -verify -rawin -pubin -inkey seal/public-key.pem -in tagmanifest-sha256.txt \
-sigfile seal/tagmanifest-sha256.sig
    openssl pkey -pubin -in seal/public-key.pem -outform DER | sha256sum

The first two lines find changed and missing files; files that neither list names were added later (but for the lists
themselves, the signature, and a folder "timestamp"). The third line checks the signature, the fourth prints the
fingerprint of the key. Compare that with the fingerprint that the owner gave you in another way: anybody can change a
bag and sign it anew with a key of their own. Nothing in here proves a date but a time stamp, where there is one.
"""
