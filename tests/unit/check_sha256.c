/* check_sha256.c - SHA-256 against published values.
 *
 * Values: NIST, "SHA-256 examples" to FIPS 180-4 ("abc" and the 448-bit
 * message); the empty message and the million times 'a' from the NIST test
 * vectors for short and long messages.  All from memory, and each agrees with
 * sha256sum of GNU coreutils.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/sha256.h"
#include "tests/unit/suites.h"

static void expect(const char *text, size_t size, const char *digest)
{
    char out[SHA256_TEXT_SIZE];

    ck_assert_str_eq(sha256_text(out, text, size), digest);
}

START_TEST(published_values)
{
    const char *two =
        "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopn"
        "opq";

    expect("", 0,
           "e3b0c44298fc1c149afbf4c8996fb924"
           "27ae41e4649b934ca495991b7852b855");
    expect("abc", 3,
           "ba7816bf8f01cfea414140de5dae2223"
           "b00361a396177a9cb410ff61f20015ad");
    expect(two, strlen(two),
           "248d6a61d20638b8e5c026930c3e6039"
           "a33ce45964ff2167f6ecedd419db06c1");
}
END_TEST

START_TEST(a_million)
{
    char *text = malloc(1000000);

    ck_assert_ptr_nonnull(text);
    memset(text, 'a', 1000000);
    expect(text, 1000000,
           "cdc76e5c9914fb9281a1c7e284d73e67"
           "f1809a48a497200e046d39ccc7112cd0");
    free(text);
}
END_TEST

/* The padding changes its shape at 55, 56, 63, 64 and 119 bytes: digests of
 * so many 'x' by sha256sum of GNU coreutils 9.1. */
START_TEST(edges_of_the_padding)
{
    static const struct {
        size_t size;
        const char *digest;
    } rows[] = {
        { 55,
          "d5e285683cd4efc02d021a5c62014694"
          "958901005d6f71e89e0989fac77e4072" },
        { 56,
          "04c26261370ee7541549d16dee320c72"
          "3e3fd14671e66a099afe0a377c16888e" },
        { 63,
          "75220b47218278e656f2013bb8f0c455"
          "a25eaf01e86c64924e9d48d89776d6f2" },
        { 64,
          "7ce100971f64e7001e8fe5a51973ecdf"
          "e1ced42befe7ee8d5fd6219506b5393c" },
        { 119,
          "000b48d4edf0fa7bee3c6236ecd2785b"
          "aa5db4eeb8bb54341b029e0d9fa5fb0c" },
        { 120,
          "13f05a0b594787f5ecd315edc96141bd"
          "3243203d1b7d4f0836f37308b276ba98" },
    };
    char text[128];

    memset(text, 'x', sizeof text);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        expect(text, rows[i].size, rows[i].digest);
}
END_TEST

Suite *sha256_suite(void)
{
    Suite *suite = suite_create("sha256");
    TCase *tests = tcase_create("sha256");

    tcase_add_test(tests, published_values);
    tcase_add_test(tests, a_million);
    tcase_add_test(tests, edges_of_the_padding);
    suite_add_tcase(suite, tests);
    return suite;
}
