package stage

import (
	"math/rand/v2"

	"garner/cull/demo/paint"
)

// The skin and hair colours of the guests, from many places.
func skins() []paint.RGB {
	return []paint.RGB{
		paint.Hex(0xf2cfb4), paint.Hex(0xe6b594), paint.Hex(0xd29b76), paint.Hex(0xb87b55),
		paint.Hex(0x8f5a3a), paint.Hex(0x6a4029), paint.Hex(0xeec4a2), paint.Hex(0x4e2f20),
	}
}

func hairs() []paint.RGB {
	return []paint.RGB{
		paint.Hex(0x2a1b14), paint.Hex(0x4a2f1e), paint.Hex(0x6e4426), paint.Hex(0x9a6b3a),
		paint.Hex(0xc79a5a), paint.Hex(0x17110f), paint.Hex(0x8d8a86), paint.Hex(0x7a3520),
	}
}

func cloths() []paint.RGB {
	return []paint.RGB{
		paint.Hex(0xb4545c), paint.Hex(0x5f7f6b), paint.Hex(0x3d5f86), paint.Hex(0xd9a441),
		paint.Hex(0x8a5a86), paint.Hex(0xc9785a), paint.Hex(0x4c8a8a), paint.Hex(0xd7a5a0),
	}
}

func lips(skin paint.RGB) paint.RGB { return skin.Times(paint.RGB{0.82, 0.42, 0.42}) }

// Bride and Groom are in most frames.
func Bride() Person {
	s := paint.Hex(0xe9bd9b)
	return Person{
		Skin: s, HairColor: paint.Hex(0x5a3420), Hair: Bun, Wear: Gown, Cloth: white, Accent: paint.Hex(0xd9b89a),
		Lips: paint.Hex(0xb2474a), Iris: paint.Hex(0x4f6a4a), Tall: 0.96, Wide: 0.95, Veil: true, Earrings: true,
	}
}

// Groom wears a blue suit.
func Groom() Person {
	s := paint.Hex(0xb57e58)
	return Person{
		Skin: s, HairColor: paint.Hex(0x1d1411), Hair: Short, Wear: Suit, Cloth: paint.Hex(0x2e4568), Accent: paint.Hex(0x8c3d48),
		Lips: lips(s), Iris: paint.Hex(0x3a2415), Tall: 1.05, Wide: 1.02, Beard: true,
	}
}

// Maid is one of the three bridesmaids, who wear the same green.
func Maid(i int) Person {
	s := skins()[[]int{5, 0, 3}[i%3]]
	return Person{
		Skin: s, HairColor: hairs()[[]int{5, 4, 0}[i%3]], Hair: []Hair{Curly, Long, Bob}[i%3], Wear: Dress,
		Cloth: paint.Hex(0x6f9080), Accent: paint.Hex(0x58766a), Lips: lips(s).Mix(paint.Hex(0xa03040), 0.4), Iris: paint.Hex(0x3b2a1c),
		Tall: 0.94 + 0.02*float32(i%3), Wide: 0.92 + 0.06*float32(i%2), Earrings: true,
	}
}

// Guest gives the i-th guest, always the same one.
func Guest(i int) Person {
	r := rand.New(rand.NewPCG(uint64(i), 99))
	p := Person{
		Skin: skins()[r.IntN(8)], HairColor: hairs()[r.IntN(8)], Cloth: cloths()[r.IntN(8)], Accent: cloths()[r.IntN(8)],
		Iris: []paint.RGB{paint.Hex(0x3a2415), paint.Hex(0x4a6a86), paint.Hex(0x5a6a3a)}[r.IntN(3)],
		Tall: 0.92 + 0.14*r.Float32(), Wide: 0.92 + 0.24*r.Float32(), Glasses: r.IntN(5) == 0,
	}
	p.Lips = lips(p.Skin)
	if i%2 == 0 {
		p.Wear, p.Hair = Dress, []Hair{Bob, Long, Curly, Bun, Long}[r.IntN(5)]
		p.Lips = p.Lips.Mix(paint.Hex(0xb03a48), 0.5)
		p.Earrings = r.IntN(2) == 0
		p.Accent = p.Cloth.Mul(0.7)
		return p
	}
	p.Hair = []Hair{Short, Short, Short, Bald, Curly}[r.IntN(5)]
	p.Beard = r.IntN(3) == 0
	if r.IntN(3) == 0 {
		p.Wear = Shirt
		p.Cloth, p.Accent = paint.Hex(0xdfe3e6), paint.Hex(0x4a4038)
	} else {
		p.Wear = Suit
		p.Cloth = []paint.RGB{paint.Hex(0x35363c), paint.Hex(0x5b5148), paint.Hex(0x24344a), paint.Hex(0x6b6f74)}[r.IntN(4)]
	}
	return p
}
