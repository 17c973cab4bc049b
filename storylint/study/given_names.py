"""Whether a forename is a woman's or a man's: what a pronoun needs to find its person.

Common names of English-language family histories and of those who came from elsewhere, written down from memory; no
published list was copied. A name that is not here is either; then pronouns and words of kinship tell.
"""

from __future__ import annotations

import re

WOMEN = frozenset(
    """
    Aase Abigail Ada Adelaide Adelheid Adeline Agata Agnes Agnieszka Aiko Ailis Aino Alice Alicia Alma Almira
    Amalia Amanda Amelia Amy Anastasia Angela Angelina Angharad Ann Anna Anne Anneke Annie Antje Antonia Aoife
    Apollonia Asenath Assunta Astrid Aud Augusta Barbara Bathsheba Beatrice Bertha Bertine Bessie Beth Bethia
    Betsey Betsy Betty Beulah Bidelia Birgit Birte Blanche Blodwen Bozena Brenda Bridget Brighid Brigid Brita
    Bronwen Caitlin Calliope Camilla Caroline Carrie Carys Caterina Catharine Catherine Catrin Cecilia Celia
    Ceridwen Chaja Chana Charity Charlotte Chloe Christiana Christina Christine Clara Clarissa Concepcion
    Concetta Constance Cora Cordelia Cornelia Cynthia Dagmar Daisy Damaris Deborah Deirdre Delia Delilah Dilys
    Dinah Dolly Dolores Dora Dorcas Doris Dorota Dorothea Dorothy Dvora Ebba Edith Edna Effie Eibhlin Eileen
    Elaine Eleanor Elena Eleni Elin Elinor Elisabeth Eliza Elizabeth Elke Ella Ellen Else Elsie Elspeth Eluned
    Elvira Emeline Emily Emma Enid Esperanza Esther Ethel Etta Eudora Eunice Euphemia Eva Eve Fannie Fanny Feige
    Filomena Fionnuala Flora Florence Fotini Frances Franziska Freya Frida Frieda Georgiana Georgina Geraldine
    Gerda Gertrude Gitte Giulia Giuseppina Gladys Gloria Golda Grace Grainne Greta Grizel Gro Guadalupe Gudrun
    Gunda Guri Gwen Gwendolen Gwenllian Gwladys Hannah Hanne Harriet Hattie Hazel Hedda Hedwig Helen Helena
    Helga Henrietta Hephzibah Hester Hettie Hetty Hilda Hilma Honora Huldah Ida Inga Ingeborg Inger Ingrid Irene Irini Isabel
    Isabela Isabella Iseabail Isobel Isolde Ivy Jadwiga Jane Janet Jeanette Jemima Jennet Jennie Jenny Jerusha
    Jessie Joan Joanna Johanna Johanne Jorunn Josefa Josefina Josephine Joyce Judith Julia Juliana Jytte Kaja
    Kaliopi Karen Kari Karin Karoline Katarzyna Kate Katharina Katharine Katherine Kathleen Katie Keturah Keziah
    Kirsten Kirsti Kitty Klara Kristin Kristina Laura Lavinia Leah Lena Leokadia Leonor Letitia Lettice Liesbeth
    Lilian Lillian Lily Linda Lizzie Lois Lottie Louisa Louise Lowri Lucia Lucinda Lucretia Lucy Ludmila Luisa
    Lydia Maartje Maatje Mabel Madeleine Madge Magdalena Maggie Mahala Mair Maire Mairead Mairi Malka Malvina
    Mamie Marcella Maren Margaret Margaretha Margery Margit Margot Margrethe Maria Marian Marianna Marianne
    Marie Marit Marjorie Marsali Marta Martha Mary Mathilde Matilda Maud Maude May Megan Mehetabel Mehitable
    Melissa Mercy Mette Mildred Millicent Mina Minerva Minnie Miriam Mollie Molly Morag Morfydd Muriel Myfanwy
    Myrtle Nancy Naomi Neeltje Nell Nellie Nelly Niamh Nora Norah Nuala Oighrig Olava Olga Olive Olivia Olwen
    Orla Orsolya Ottilie Pamela Parthenia Patience Patricia Paulina Pauline Pearl Peggy Penelope Permelia Petra
    Petronella Phebe Philippa Phoebe Phyllis Polly Priscilla Prudence Rachel Ragna Ragnhild Randi Rebecca
    Rebekah Rhoda Rifka Rikke Rivka Roisin Rosa Rosalia Rosalie Rosanna Rosaria Rose Rosemary Rosina Roxana Ruth
    Ruza Sabra Sadie Sally Sanne Sarah Selina Seonaid Sevasti Sheila Sibyl Signe Sigrid Sigrun Sinead Siobhan
    Siri Siv Sofia Solveig Sophia Sophie Sophronia Stamatia Stella Stina Submit Sunniva Susan Susanna Susannah
    Susanne Svea Sybil Sylvia Synnove Tabitha Tamar Tannetje Temperance Teresa Thankful Thea Thelma Themelina
    Theodora Theresa Thirza Thora Tove Trijntje Turid Ulrike Una Ursula Vendla Vera Veronica Vibeke Victoria
    Viola Violet Virginia Wanda Wilhelmina Winifred Xenia Yetta Zilpha Zina Zofia
    """.split()
)
MEN = frozenset(
    """
    Aage Aaron Abel Abner Abraham Abram Adam Adolf Adolph Adriaan Aksel Alan Alasdair Albert Aled Alessandro
    Alexander Alfonso Alfred Alistair Allan Allen Alois Alonzo Ambrose Amos Anders Andreas Andrew Aneirin
    Aneurin Angus Anthony Anton Antone Antoni Antonio Archibald Arend Arne Arthur Asa Asahel Asbjorn Asbury
    August Augustus Axel Azariah Baltasar Barend Barnabas Bartholomew Bartley Bartolomeo Benedict Benjamin Berl
    Bernard Bernhard Bertie Bertram Bjorn Bohumil Borge Brian Bruce Caleb Callum Calvin Carl Carlo Carlos Cecil
    Chaim Charles Charlie Christopher Ciaran Claes Clarence Claude Claus Clement Clifford Colin Conrad
    Constantine Cormac Cornelis Cornelius Cuthbert Cyril Cyrus Dafydd Daniel David Declan Dennis Dewi Diarmuid
    Diederich Dietrich Dirk Domenico Donal Donald Douglas Dudley Duncan Eamon Ebenezer Edgar Edmund Edward Edwin
    Egbert Eifion Einar Eirik Eleazer Eli Eliab Elias Elihu Elijah Eliphalet Elis Elisha Elkanah Ellis Elof
    Emanuel Emil Emilio Emlyn Emrys Emyr Enoch Enos Enrico Ephraim Erasmus Eric Erik Erling Ernest Ernst Eugenio
    Evan Evert Ewan Ezekiel Ezra Farquhar Feliks Felipe Ferdinand Fergal Fergus Fernando Filippo Finlay Finn
    Francesco Francis Francisco Franciszek Frank Franklin Frans Frantisek Franz Frederic Frederick Friedrich
    Fritz Gabriel Gareth Geoffrey Georg George Geraint Gerald Gerard Gerhard Gerrit Gershom Gethin Giacomo
    Giannis Gideon Gilbert Giles Giovanni Giuseppe Glyn Gordon Goronwy Gottfried Gottlieb Gregorio Griffith
    Gruffydd Gudmund Guillaume Gunnar Gunther Gustaf Gustav Gwilym Gwyn Haakon Halvor Hamish Hannes Hans Harald
    Harold Harry Hector Heinrich Hendrik Henri Henry Herbert Herman Hermann Hermanus Hezekiah Hilmar Hiram
    Horace Hosea Howard Howell Hugh Hugo Humphrey Huw Hywel Iain Ian Ianto Ichabod Idris Ieuan Ifan Ifor Ignacy
    Increase Iolo Iorwerth Ira Isaac Isaiah Islwyn Israel Ithel Ivan Ivar Iver Ivor Izaak Jaap Jabez Jack Jacob
    Jacobus Jacques Jakob James Jan Jannis Jared Jaroslav Jasper Jedediah Jeffrey Jens Jeremiah Jeremy Jesse
    Jethro Jim Joachim Joaquim Job Joe Joel Johan Johann Johannes John Jon Jonas Jonathan Jorge Josef Joseph
    Joshua Josiah José Jotham Juan Juho Julius Karel Karl Kaspar Kenneth Klaas Klaus Knud Knut Konrad Konstanty
    Kornelius Kristian Laban Lachlan Lars Laurence Lauritz Lawrence Leander Leendert Leif Lemuel Leo Leon
    Leonard Leopold Levi Lewis Llewellyn Llewelyn Lloyd Lorenz Lorenzo Louis Luca Lucas Lucius Ludwig Luigi Luke
    Luther Maarten Madoc Magnus Mahlon Malachi Malcolm Manolis Manuel Marcin Marcus Mariano Marinus Mark Martin
    Mateusz Mathias Matthew Matthias Mattias Maurice Max Mendel Menno Micah Micajah Michael Michal Michalis
    Miguel Mihangel Mikael Miles Moishe Mordecai Mordechai Morgan Moritz Morris Morten Moses Murdo Nathan
    Nathaniel Nehemiah Neil Nicholas Nick Niels Nikolas Nils Noah Norman Obadiah Obed Olaf Olav Ole Oliver Olof
    Orlando Oscar Otto Owain Owen Paavo Pablo Padraig Paolo Patrick Paul Pawel Peder Pedro Peleg Per Peter
    Petros Philemon Philip Phineas Pierre Pieter Pietro Ralph Ranald Randolph Rasmus Raymond Reginald Reinhold
    Reuben Rhodri Rhydderch Rhys Richard Robert Roderick Rodrigo Roger Roland Rolf Rowland Ruairidh Rufus Rupert
    Salvatore Samson Samuel Sander Santos Seamus Sean Sebastian Septimus Seth Severin Shmuel Shubael Sigurd
    Silas Silvanus Simeon Simon Sivert Solomon Somerled Soren Spyros Stanislaw Stanley Stefan Stefano Stelios
    Stephen Steven Sven Svend Sylvester Syver Tadeusz Teodor Thaddeus Theodore Theophilus Thomas Timothy Titus
    Tobias Tom Tomas Tomos Torkel Tormod Torquil Torsten Torvald Tristram Tudor Ture Twm Ulrich Uriah Uriel
    Vaclav Vernon Vicente Victor Viggo Vilhelm Vincent Walter Warren Wenzel Wilfred Wilhelm Will Willem William
    Willie Wincenty Wojciech Yakov Yitzhak Zaccheus Zachariah Zebulon Zenas Zephaniah Zygmunt
    """.split()
)
_MEN_IN_A = frozenset("Joshua Ezra Asa Elisha Joshuah Josiah Nikola Luca Ilya Noa Juda Ira Columba Andrea Mica".split())


def sex_of(forename: str) -> str:
    """'f', 'm' or '' where the name does not tell."""
    name = forename.title() if forename.isupper() else forename
    if name in WOMEN:
        return "f"
    if name in MEN or name in _MEN_IN_A:
        return "m"
    return "f" if len(name) > 3 and name.endswith(("ella", "etta", "anna", "tje", "sje")) else ""


# What a patronymic or a particle of descent says of its bearer, from memory: Norwegian -datter, Welsh ferch, Irish Ní.
_DAUGHTER = re.compile(r"(?:datter|dotter|d[óo]ttir|dtr)$|^(?:ferch|verch|Ní|Nic|Uí)$")


def sex_by_descent(words: tuple[str, ...]) -> str:
    """'f' where a name says 'daughter of': Inger Knudsdatter, Bríd Ní Chonaill."""
    return "f" if any(_DAUGHTER.search(word) for word in words[1:]) else ""
