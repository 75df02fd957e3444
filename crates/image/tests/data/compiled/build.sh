#!/bin/sh
# How the files of this folder were made: rustc 1.95.0, GNU binutils 2.40 for arm-none-eabi. Needs the three targets of rustup.
set -eu
build() {
    sed "s/ORIGIN_/$3/;s/RAM_/$4/" link.x > /tmp/own.x
    rustc --edition 2024 --target "$1" -C opt-level=s -C panic=abort -C linker=rust-lld -C linker-flavor=ld.lld -C link-arg=-T/tmp/own.x \
        -C link-arg=-n -C strip=symbols -C debuginfo=0 -o "$2.elf" program.rs
}
build thumbv6m-none-eabi smallest 0x08007000 0xC000
build thumbv7m-none-eabi middle 0x08008000 0xC000
build thumbv7em-none-eabihf float 0x08020000 0x80000
for name in smallest middle float; do
    arm-none-eabi-objcopy -O binary $name.elf /tmp/$name.bin
    printf '%s %s\n' "$(sha256sum < /tmp/$name.bin | cut -d' ' -f1)" "$name.bin"
    arm-none-eabi-objcopy -O ihex $name.elf /tmp/$name.hex
    printf '%s %s\n' "$(sha256sum < /tmp/$name.hex | cut -d' ' -f1)" "$name.hex"
done > objcopy.txt
arm-none-eabi-size -A -x smallest.elf middle.elf float.elf > size.txt
