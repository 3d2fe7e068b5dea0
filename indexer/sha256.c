/* indexer/sha256.c - SHA-256 as FIPS 180-4 states it (sections 5 and 6.2). */
#include "indexer/sha256.h"

#include <stdint.h>
#include <string.h>

/* Section 4.2.2: the fractions of the cube roots of the first 64 primes. */
static const uint32_t constants[64] = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1,
    0x923f82a4, 0xab1c5ed5, 0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3,
    0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174, 0xe49b69c1, 0xefbe4786,
    0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147,
    0x06ca6351, 0x14292967, 0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13,
    0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85, 0xa2bfe8a1, 0xa81a664b,
    0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a,
    0x5b9cca4f, 0x682e6ff3, 0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208,
    0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
};

static uint32_t rotate(uint32_t x, int n)
{
    return x >> n | x << (32 - n);
}

/* Section 6.2.2, step 1: the message schedule of one block of 64 bytes. */
static void schedule(uint32_t w[64], const unsigned char *block)
{
    for (int t = 0; t < 16; t++)
        w[t] = (uint32_t)block[4 * t] << 24 | (uint32_t)block[4 * t + 1] << 16 |
               (uint32_t)block[4 * t + 2] << 8 | block[4 * t + 3];
    for (int t = 16; t < 64; t++) {
        uint32_t a = w[t - 15], b = w[t - 2];

        w[t] = w[t - 16] + (rotate(a, 7) ^ rotate(a, 18) ^ a >> 3) + w[t - 7] +
               (rotate(b, 17) ^ rotate(b, 19) ^ b >> 10);
    }
}

/* One t of step 3.  What the standard moves on from variable to variable stays
 * where it is: the caller names the variables anew.  IN is K + W. */
static inline void step(uint32_t a, uint32_t b, uint32_t c, uint32_t *d,
                        uint32_t e, uint32_t f, uint32_t g, uint32_t *h,
                        uint32_t in)
{
    uint32_t sum1 = rotate(e, 6) ^ rotate(e, 11) ^ rotate(e, 25);
    uint32_t sum0 = rotate(a, 2) ^ rotate(a, 13) ^ rotate(a, 22);
    uint32_t choose = (e & f) ^ (~e & g);
    uint32_t most = (a & b) ^ (a & c) ^ (b & c);
    uint32_t t1 = *h + sum1 + choose + in;

    *d += t1;
    *h = t1 + sum0 + most;
}

/* Steps 2 to 4. */
static void hash_block(uint32_t state[8], const unsigned char *block)
{
    uint32_t w[64];
    uint32_t a = state[0], b = state[1], c = state[2], d = state[3],
             e = state[4], f = state[5], g = state[6], h = state[7];

    schedule(w, block);
    for (int t = 0; t < 64; t += 8) {
        const uint32_t *k = constants + t, *in = w + t;

        step(a, b, c, &d, e, f, g, &h, k[0] + in[0]);
        step(h, a, b, &c, d, e, f, &g, k[1] + in[1]);
        step(g, h, a, &b, c, d, e, &f, k[2] + in[2]);
        step(f, g, h, &a, b, c, d, &e, k[3] + in[3]);
        step(e, f, g, &h, a, b, c, &d, k[4] + in[4]);
        step(d, e, f, &g, h, a, b, &c, k[5] + in[5]);
        step(c, d, e, &f, g, h, a, &b, k[6] + in[6]);
        step(b, c, d, &e, f, g, h, &a, k[7] + in[7]);
    }
    state[0] += a;
    state[1] += b;
    state[2] += c;
    state[3] += d;
    state[4] += e;
    state[5] += f;
    state[6] += g;
    state[7] += h;
}

/* Section 5.1.1: the last bytes, a one bit, zeros, the length in bits. */
static void hash_end(uint32_t state[8], const unsigned char *bytes, size_t left,
                     uint64_t size)
{
    unsigned char last[128] = { 0 };
    size_t length = left < 56 ? 64 : 128;

    if (left)
        memcpy(last, bytes, left);
    last[left] = 0x80;
    for (size_t i = 0; i < 8; i++)
        last[length - 1 - i] = (unsigned char)(size * 8 >> 8 * i);
    hash_block(state, last);
    if (length == 128)
        hash_block(state, last + 64);
}

char *sha256_text(char out[SHA256_TEXT_SIZE], const void *bytes, size_t size)
{
    /* Section 5.3.3: the fractions of the roots of the first eight primes. */
    uint32_t state[8] = { 0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                          0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19 };
    const unsigned char *at = bytes;
    size_t left = size;

    for (; left >= 64; left -= 64, at += 64)
        hash_block(state, at);
    hash_end(state, at, left, size);
    for (int i = 0; i < 64; i++)
        out[i] = "0123456789abcdef"[state[i / 8] >> (28 - i % 8 * 4) & 15];
    out[64] = '\0';
    return out;
}
